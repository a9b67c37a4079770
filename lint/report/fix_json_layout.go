package report

import "sluice/lint"

type spreadJSON struct {
	Pairs int    `json:"pairs"`
	Most  num    `json:"most"`
	Box   [4]num `json:"box"`
}

type layoutJSON struct {
	Sheets []laidJSON     `json:"sheets"`
	Left   []leftPartJSON `json:"left"`
	Seed   uint64         `json:"seed"`
	Steps  int64          `json:"steps"`
	Cut    bool           `json:"cut"`
	Gap    num            `json:"gap"`
}

type laidJSON struct {
	File    string  `json:"file"`
	Parts   int     `json:"parts"`
	Area    num     `json:"area"`
	Used    num     `json:"used"`
	Density num     `json:"density"`
	Share   num     `json:"share"`
	Cutoff  *[4]num `json:"cutoff"`

	Stock  stockJSON   `json:"stock"`
	Offcut *offcutJSON `json:"offcut"`
}

// stockJSON is what a sheet is cut from.
type stockJSON struct {
	Name      string `json:"name"`
	Material  string `json:"material"`
	Thickness num    `json:"thickness"`
	Size      [2]num `json:"size"`
}

// offcutJSON is what is kept of a sheet; its outline lies in the sheet's place.
type offcutJSON struct {
	File    string   `json:"file"`
	Area    num      `json:"area"`
	Outline [][2]num `json:"outline"`
}

func toOffcutJSON(o *lint.Offcut) *offcutJSON {
	if o == nil {
		return nil
	}
	j := &offcutJSON{File: o.File, Area: num(finite(o.Area)), Outline: [][2]num{}}
	for i := range o.Outline {
		j.Outline = append(j.Outline, pointJSON(o.Outline[i].A))
	}
	return j
}

type leftPartJSON struct {
	Part  string `json:"part"`
	Count int    `json:"count"`
	Why   string `json:"why"`
}

func toSpreadJSON(s *lint.Spread) spreadJSON {
	b := s.Box
	return spreadJSON{s.Pairs, num(finite(s.Most)), [4]num{num(finite(b.Min.X)), num(finite(b.Min.Y)), num(finite(b.Max.X)), num(finite(b.Max.Y))}}
}

func toLayoutJSON(l *lint.Layout) layoutJSON {
	j := layoutJSON{Sheets: []laidJSON{}, Left: []leftPartJSON{}, Seed: l.Seed, Steps: l.Steps, Cut: l.Cut, Gap: num(finite(l.Gap))}
	for i := range l.Sheets {
		s := &l.Sheets[i]
		out := laidJSON{File: s.File, Parts: s.Parts, Area: num(finite(s.Area)), Used: num(finite(s.Used)), Density: num(finite(s.Density)), Share: num(finite(s.Share))}
		st := &s.Stock
		out.Stock = stockJSON{st.Name, st.Material, num(finite(st.Thickness)), [2]num{num(finite(st.Width)), num(finite(st.Height))}}
		out.Offcut = toOffcutJSON(s.Offcut)
		if b := s.Cutoff; b.Finite() && b.W() > 0 && b.H() > 0 {
			out.Cutoff = &[4]num{num(b.Min.X), num(b.Min.Y), num(b.Max.X), num(b.Max.Y)}
		}
		j.Sheets = append(j.Sheets, out)
	}
	for _, p := range l.Left {
		j.Left = append(j.Left, leftPartJSON(p))
	}
	return j
}
