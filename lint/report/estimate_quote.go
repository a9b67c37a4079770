package report

import (
	_ "embed"
	"fmt"
	"io"
	"math"
	"slices"

	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/units"
)

//go:embed assets/quote.html
var quoteBody string

//go:embed assets/quote.css
var quoteCSS string

var quoteTemplate = pageOf(quoteBody)

// quotePage is an offer to a customer: one price, and what it is for.
type quotePage struct {
	shell
	Name, Date, Stock  string
	Facts              []fact
	Price, For, Sheets string
	Breaks             []priceBreak
	Holds, Notes       []string
}

// priceBreak is a price at a quantity.
type priceBreak struct {
	Kits      int
	Each, All string
}

// quantities are those at which prices are shown besides the one asked for.
var quantities = []int{1, 2, 5, 10, 25, 50, 100}

// noPrice stands on a quote of nothing.
const noPrice = "No price: none is set. Set machine_rate, sheet_price, abrasive_price and labour_rate under [cost] in the job file."

// estimateHTML writes a quote: it says nothing of where the drawing lies, and no
// date but the one that was asked for.
func estimateHTML(w io.Writer, x *Estimate) error {
	e := x.Estimate
	name := kitName(x.Path)
	kits := max(1, int(math.Round(e.Kits)))
	p := quotePage{shell: newShell("Quote: "+name, x.Version, "", quoteCSS, printCSS), Name: name, Date: clean(x.Date), Stock: stockWords(e)}
	p.Deference = ""
	p.Facts = []fact{{"Parts", plural(e.Parts, "part") + " a kit"}, {"Kits", fmt.Sprint(kits)}, {"Edge", job.EdgeWord(e.Quality)}}
	if e.PartsMass > 0 {
		p.Facts = append(p.Facts, fact{"Mass", units.Of(e.Inches).Mass(e.PartsMass*float64(kits), 2)})
	}
	p.Sheets, p.Holds, p.Notes = sheetWords(e), holdsWords(e), quoteNotes
	if !(e.Bill.Total() > 0) {
		p.For = noPrice
		return writePage(w, quoteTemplate, p)
	}
	asked := breakAt(e, kits)
	p.Price, p.For = asked.All, "for "+plural(kits, "kit")
	if kits > 1 {
		p.For += ", " + asked.Each + " each"
	}
	counts := append([]int{kits}, quantities...)
	slices.Sort(counts)
	for _, n := range slices.Compact(counts) {
		p.Breaks = append(p.Breaks, breakAt(e, n))
	}
	return writePage(w, quoteTemplate, p)
}

// quoteNotes say what a price goes by.
var quoteNotes = []string{
	"The price of a kit is rounded up to the next whole unit of money. Set-up is counted once, however many kits are cut.",
	"Times are reckoned, not measured: the price may change when the first kit has been cut.",
	"Edges are as the stream leaves them, with a slight taper and a burr on the underside. Parts held by tabs have a nib where they were broken off.",
}

// breakAt is the price of n kits: that of one in whole units of money, n times.
func breakAt(e *cutting.Estimate, n int) priceBreak {
	each := math.Ceil(e.Price(float64(n)).Total()/float64(n) - 1e-9)
	in := currencyAfter(e.Currency)
	return priceBreak{n, fixed(each, 0) + in, fixed(each*float64(n), 0) + in}
}

func currencyAfter(c string) string {
	if c == "" {
		return ""
	}
	return " " + clean(c)
}

// stockWords says what is cut.
func stockWords(e *cutting.Estimate) string {
	s := ""
	if e.Known {
		s = clean(e.Material.Name)
	}
	if e.Thickness > 0 {
		if s != "" {
			s += ", "
		}
		s += units.Of(e.Inches).Length(e.Thickness, 4)
	}
	return s
}

// sheetWords says how the stock is paid.
func sheetWords(e *cutting.Estimate) string {
	switch {
	case e.Bill.Sheet == 0:
		return "The stock is not in the price."
	case e.Share == "whole":
		return "Whole sheets are in the price, one a kit; what is left of them is yours."
	}
	return fmt.Sprintf("Of the sheet %s %% a kit is in the price; what is left of it stays with us.", fixed(100*e.Paid(), 1))
}

// holdsWords lists what the price holds.
func holdsWords(e *cutting.Estimate) []string {
	u := units.Of(e.Inches)
	out := []string{fmt.Sprintf("%s of cut a kit, %s", u.Run(e.Length.Cut()), plural(e.Pierces, "pierce"))}
	if e.Length.Etch > 0 {
		out = append(out, u.Run(e.Length.Etch)+" of marks and numbers etched a kit")
	}
	if e.Tabs > 0 {
		out = append(out, plural(e.Tabs, "tab")+" a kit to break and file")
	}
	if e.Setup > 0 && e.Bill.Labour > 0 {
		out = append(out, clock(e.Setup)+" to set up, once")
	}
	return out
}
