package report

import (
	"io"

	"sluice/lint/cutting"
	"sluice/lint/job"
)

// spanJSON is a figure with its range; null stands for one that is not known.
type spanJSON struct {
	Likely num `json:"likely"`
	Low    num `json:"low"`
	High   num `json:"high"`
}

func toSpan(s cutting.Span, known bool) *spanJSON {
	if !known {
		return nil
	}
	return &spanJSON{num(s.Likely), num(s.Low), num(s.High)}
}

func orNull(v float64, known bool) *num {
	if !known {
		return nil
	}
	n := num(v)
	return &n
}

type estimateMaterial struct {
	Name          string `json:"name"`
	Density       num    `json:"density_kg_m3"`
	Machinability *num   `json:"machinability"`
	Source        string `json:"source"`
}

type estimateJet struct {
	Pressure   num    `json:"pressure_mpa"`
	Orifice    num    `json:"orifice_mm"`
	MixingTube num    `json:"mixing_tube_mm"`
	Abrasive   num    `json:"abrasive_g_min"`
	Water      num    `json:"water_l_min"`
	Power      num    `json:"power_kw"`
	Quality    num    `json:"quality"`
	Edge       string `json:"edge"`
}

type estimateSpeed struct {
	Cut    num    `json:"cut"`
	Corner num    `json:"corner"`
	Etch   num    `json:"etch"`
	Rapid  num    `json:"rapid"`
	Basis  string `json:"basis"`
	Capped bool   `json:"capped"`
}

type estimateLength struct {
	Outside num `json:"outside"`
	Inside  num `json:"inside"`
	Open    num `json:"open"`
	Etch    num `json:"etch"`
	Leads   num `json:"leads"`
	Drawn   num `json:"drawn"`
	Travel  num `json:"travel"`
}

type estimateTime struct {
	Cut    *spanJSON `json:"cut"`
	Slow   *num      `json:"slow_down"`
	Etch   *spanJSON `json:"etch"`
	Pierce *spanJSON `json:"pierce"`
	Start  *spanJSON `json:"start"`
	Travel *spanJSON `json:"travel"`
	Total  *spanJSON `json:"total"`
}

type estimateSheet struct {
	Area   num  `json:"area_mm2"`
	Mass   *num `json:"mass_kg"`
	Box    num  `json:"share_by_boxes"`
	Length num  `json:"share_by_length"`
	Whole  num  `json:"share_whole"`
	Less   num  `json:"share_less_offcut,omitempty"` // where that is paid
}

type estimateCost struct {
	Currency string    `json:"currency"`
	Kits     num       `json:"kits"`
	Share    string    `json:"sheet_share"`
	Sheet    num       `json:"sheet"`
	Machine  *spanJSON `json:"machine"`
	Abrasive *spanJSON `json:"abrasive"`
	Labour   num       `json:"labour"`
	Total    *spanJSON `json:"total"`
}

type estimatePart struct {
	Number string `json:"number"`
	Count  int    `json:"count"`
	Area   num    `json:"area_mm2"`
	Mass   *num   `json:"mass_kg"`
	Cut    num    `json:"cut_mm"`
	Starts int    `json:"starts"`
	Time   *num   `json:"time_s"`
}

// estimateJSON writes an estimate as one JSON object: lengths in mm, speeds in
// mm/min, times in s. What is not known is null.
func estimateJSON(w io.Writer, x *Estimate) error {
	e := x.Estimate
	known := e.Pace.Cut > 0
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "version", x.Version)
	j.field(false, "path", x.Path)
	if e.Known {
		m := &e.Material
		j.field(false, "material", estimateMaterial{m.Name, num(m.Density), orNull(m.Machinability, m.Machinability > 0), m.Source})
	} else {
		j.field(false, "material", nil)
	}
	j.field(false, "thickness", orNull(e.Thickness, e.Thickness > 0))
	j.field(false, "jet", estimateJet{num(e.Jet.Pressure), num(e.Jet.Orifice), num(e.Jet.MixingTube), num(e.Jet.Abrasive),
		num(e.Jet.Water()), num(e.Jet.Power()), num(e.Quality), job.EdgeWord(e.Quality)})
	if known {
		p := &e.Pace
		j.field(false, "speed", estimateSpeed{num(p.Cut), num(p.Fine), num(p.Etch), num(p.Rapid), p.Basis, p.Capped})
	} else {
		j.field(false, "speed", nil)
	}
	l := &e.Length
	j.field(false, "length", estimateLength{num(l.Outside), num(l.Inside), num(l.Open), num(l.Etch), num(l.Leads), num(l.Drawn), num(l.Travel)})
	j.field(false, "counts", map[string]int{"parts": e.Parts, "pierces": e.Pierces, "starts": e.Starts, "tabs": e.Tabs})
	t := &e.Time
	j.field(false, "time", estimateTime{toSpan(t.Cut, known), orNull(t.Slow, known), toSpan(t.Etch, true), toSpan(t.Pierce, known),
		toSpan(t.Start, true), toSpan(t.Travel, true), toSpan(t.Total, known)})
	j.field(false, "labour", map[string]num{"per_kit": num(e.Labour), "setup": num(e.Setup)})
	j.field(false, "abrasive_kg", toSpan(e.Abrasive, known))
	j.field(false, "water_l", toSpan(e.Water, known))
	j.field(false, "mass_kg", orNull(e.PartsMass, e.PartsMass > 0))
	if e.SheetArea > 0 {
		s := &e.Shares
		j.field(false, "sheet", estimateSheet{num(e.SheetArea), orNull(e.SheetMass, e.SheetMass > 0), num(s.Box), num(s.Length), num(s.Whole), num(s.Less)})
	} else {
		j.field(false, "sheet", nil)
	}
	b, lo, hi := e.Bill, e.BillLow, e.BillHigh
	j.field(false, "cost", estimateCost{e.Currency, num(e.Kits), e.Share, num(b.Sheet),
		toSpan(cutting.Span{Likely: b.Machine, Low: lo.Machine, High: hi.Machine}, known),
		toSpan(cutting.Span{Likely: b.Abrasive, Low: lo.Abrasive, High: hi.Abrasive}, known), num(b.Labour),
		toSpan(cutting.Span{Likely: b.Total(), Low: lo.Total(), High: hi.Total()}, known)})
	rows := e.Rows
	j.name(false, "parts")
	j.list(len(rows), " ", func(i int) any {
		r := &rows[i]
		return estimatePart{r.Number, r.Count, num(r.Area), orNull(r.Mass, r.Mass > 0), num(r.Cut), r.Starts, orNull(r.Time, r.Time > 0)}
	})
	j.name(false, "notes")
	j.list(len(e.Notes), " ", func(i int) any { return e.Notes[i] })
	return j.close()
}
