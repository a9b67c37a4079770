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
