package report

import (
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/lint/figures"
	"sluice/lint/units"
)

// partsPerStep is how many rows of the schedule are shown at once.
const partsPerStep = 300

// schedule fills in the part list.
func (f *filePage) schedule(m *rowMaker, s *figures.Schedule) {
	var all []partRow
	size, cut, area := f.units.Sizes(1), f.units.Sizes(0), f.units.Surfaces()
	f.SizeUnit, f.AreaUnit = size.Unit(), area.Unit()
	for i := range s.Rows {
		p := &s.Rows[i]
		at := geom.Point{}
		if len(p.At) > 0 {
			at = p.At[0]
		}
		var parts []string
		for _, k := range p.Parts {
			parts = append(parts, strconv.Itoa(k))
		}
		all = append(all, partRow{
			Row: figures.Row{Number: dash(clean(p.Number)), Count: p.Count, Pierces: p.Pierces, Tabs: p.Tabs,
				Layer: clean(p.Layer), Name: clean(p.Name)},
			Side: f.Side, ID: fmt.Sprintf("%s-part-%d", f.ID, i), Go: m.goTo(at, p.Box), Parts: strings.Join(parts, " "),
			Size:  size.Write(p.Width) + " × " + size.Write(p.Height),
			AreaT: area.Write(p.Area), CutT: cut.Write(p.CutLength),
		})
	}
	f.Parts = all[:min(len(all), partsPerStep)]
	f.PartsLeft = len(all) - len(f.Parts)
	for k := partsPerStep; k < len(all); k += partsPerStep {
		f.MoreParts = append(f.MoreParts, all[k:min(len(all), k+partsPerStep)])
	}
	f.PartKinds, f.PartCount = len(all), s.Sums.Parts
	if t := &s.Sums; len(all) > 0 {
		f.PartSums = fmt.Sprintf("%s of %s, %s of stock, %s of cut without tabs and leads, %s, %s", plural(t.Parts, "part"), plural(len(all), "kind"),
			f.units.Surface(t.Area), f.units.Run(t.Cut), plural(t.Pierces, "pierce"), plural(t.Tabs, "tab"))
	}
}

// partsHTML writes the schedule as an HTML page that stands alone, with the
// drawing beside it.
func partsHTML(w io.Writer, s *Parts) error {
	title := "Part schedule"
	if s.Path != "" {
		title += ": " + s.Path
	}
	p := newPage(title, s.Version)
	p.Schedule = true
	f := &filePage{ID: "f0", Path: clean(s.Path), Side: "before"}
	drawn := s.Page()
	pic := f.start(drawn)
	f.side(pic, "before", drawn.Before, "", drawn.Shown, drawn.Schedule)
	f.Picture = template.HTML(pic.String())
	f.units = units.Of(s.Inches())
	f.schedule(&rowMaker{f.ID, pic.path.origin, nil, f.units}, drawn.Schedule)
	f.common(drawn.Before, nil)
	f.Verdict = f.PartSums
	if s.Slots != nil {
		f.Facts = append(f.Facts, fact{"Slots", slotsWords(s.Slots)})
	}
	f.convert()
	p.Files = []*filePage{f}
	return p.write(w)
}

// slotsWords says in one sentence what the slots leave over the sheet.
func slotsWords(s *figures.Slots) string {
	var list []string
	for _, w := range s.Widths {
		list = append(list, fmt.Sprintf("%d of %s mm, %s at the bottom, play %s", w.Count, fixed(w.Width, 2), fixed(w.Bottom, 2), fixed(w.Play, 2)))
	}
	if p := playText(s.Play); p != "" {
		list = append(list, "play of "+p)
	}
	return capital(slotsHead(s)) + ": " + strings.Join(list, "; ")
}
