package report

import (
	"io"

	"sluice/fix"
	"sluice/lint"
	"sluice/lint/figures"
)

type editJSON struct {
	Edit     string   `json:"edit"`
	Rule     string   `json:"rule"`
	At       [2]num   `json:"at"`
	Moved    num      `json:"moved"`
	Part     string   `json:"part"`
	Entities []string `json:"entities"`
	Note     string   `json:"note"`
}

func toEditJSON(e *fix.Edit) editJSON {
	return editJSON{e.Kind, e.Rule, pointJSON(e.At), num(finite(e.Moved)), e.Part, orEmpty(e.Entities), e.Note}
}

type tabJSON struct {
	Part  string `json:"part"`
	At    [2]num `json:"at"`
	Width num    `json:"width"`
	Gap   num    `json:"gap"`
	Sheet int    `json:"sheet,omitempty"` // of a layout on several, from 1
}

type labelJSON struct {
	Part   string `json:"part"`
	Text   string `json:"text"`
	At     [2]num `json:"at"`
	Height num    `json:"height"`
	Angle  num    `json:"angle"`
	Where  string `json:"where"`
	Sheet  int    `json:"sheet,omitempty"`
}

type accountJSON struct {
	Read     int `json:"read"`
	Used     int `json:"used"`
	Carried  int `json:"carried"`
	Replaced int `json:"replaced"`
	LeftOut  int `json:"left_out"`

	Types []typeJSON `json:"types"`
}

type typeJSON struct {
	Type     string `json:"type"`
	Read     int    `json:"read"`
	Used     int    `json:"used"`
	Carried  int    `json:"carried"`
	Replaced int    `json:"replaced"`
	LeftOut  int    `json:"left_out"`
}

func toAccountJSON(a *lint.Account) *accountJSON {
	if a == nil {
		return nil
	}
	j := &accountJSON{a.Read, a.Used, a.Carried, a.Replaced, a.LeftOut, []typeJSON{}}
	for _, t := range a.ByType {
		j.Types = append(j.Types, typeJSON(t))
	}
	return j
}

func leftOut(a *lint.Account) []leftOutJSON {
	l := []leftOutJSON{}
	if a != nil {
		for _, i := range a.Left {
			l = append(l, leftOutJSON(i))
		}
	}
	return l
}

type leftOutJSON struct {
	Type  string `json:"type"`
	Count int    `json:"count"`
	Why   string `json:"why"`
}

// fixJSON writes a repair as one JSON object: the counts before and after,
// every edit, what is left for a person to decide, tabs, numbers, and the
// account of the entities of the input.
func fixJSON(w io.Writer, r *Repair) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "version", r.Version)
	j.field(false, "input", r.Input)
	output := r.Output
	if len(r.Sheets) > 0 {
		output = r.Sheets[0].Output // the others stand with the layout
	}
	j.field(false, "output", output)
	j.field(false, "units", unitsJSONOf(r.Unit))
	j.field(false, "before", r.Was)
	j.field(false, "after", r.Is)
	if k := kitJSONOf(r.Verdict().Stand); k != nil {
		j.field(false, "kit", k)
	}
	for _, l := range []struct {
		name  string
		edits []fix.Edit
	}{{"edits", r.Repaired.Edits}, {"undone", r.Repaired.Undone}, {"skipped", r.Repaired.Skipped}} {
		if len(l.edits) > 0 || l.name == "edits" {
			j.name(false, l.name)
			j.list(len(l.edits), " ", func(i int) any { return toEditJSON(&l.edits[i]) })
		}
	}
	if r.Held != "" {
		j.field(false, "held", r.Held)
	}
	if r.Hazard != "" {
		j.field(false, "hazard", r.Hazard)
	}
	if r.Spread != nil {
		j.field(false, "spread", toSpreadJSON(r.Spread))
	}
	if r.Layout != nil {
		j.field(false, "layout", toLayoutJSON(r.Layout))
	}
	j.name(false, "left")
	left := leftJSON(r)
	j.list(len(left), " ", func(i int) any { return left[i] })
	j.name(false, "tabs")
	j.list(len(r.Tabs), " ", func(i int) any {
		t := &r.Tabs[i]
		return tabJSON{t.Part, pointJSON(t.At), num(finite(t.Width)), num(finite(t.Gap)), sheetOf(r, i, func(s *figures.Repair) int { return len(s.Tabs) })}
	})
	if h := &r.Holding; h.Slats != "" || len(h.Pushed) > 0 {
		j.field(false, "slats", h.Slats)
		j.field(false, "turned", orEmpty(h.Turned))
		j.field(false, "pushed", orEmpty(h.Pushed))
	}
	if r.Holding.Force > 0 {
		j.field(false, "tab_force", num(r.Holding.Force))
	}
	j.name(false, "labels")
	j.list(len(r.Labels), " ", func(i int) any {
		l := &r.Labels[i]
		return labelJSON{l.Part, l.Text, pointJSON(l.At), num(finite(l.Height)), num(finite(l.Angle)), l.Where, sheetOf(r, i, func(s *figures.Repair) int { return len(s.Labels) })}
	})
	a := &r.Account
	j.field(false, "account", toAccountJSON(a))
	j.name(false, "left_out")
	out := leftOut(a)
	j.list(len(out), " ", func(i int) any { return out[i] })
	return j.close()
}

// sheetOf returns on which sheet, from 1, item i of a layout's list lies, where each
// sheet has its share of the list in turn; 0 where there is one sheet.
func sheetOf(r *Repair, i int, share func(*figures.Repair) int) int {
	for k, s := range r.Sheets {
		if i -= share(s); i < 0 {
			return k + 1
		}
	}
	return 0
}

// leftJSON lists what is left for a person, of a layout sheet by sheet.
func leftJSON(r *Repair) []findingJSON {
	sheets := r.Sheets
	if len(sheets) == 0 {
		sheets = []*figures.Repair{r.Repair}
	}
	var out []findingJSON
	for k, s := range sheets {
		for i := range s.Left {
			f := toFindingJSON(&s.Left[i])
			if len(r.Sheets) > 0 {
				f.Sheet = k + 1
			}
			out = append(out, f)
		}
	}
	return out
}
