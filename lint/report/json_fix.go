package report

import (
	"io"

	"sluice/fix"
	"sluice/lint"
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
}

type labelJSON struct {
	Part   string `json:"part"`
	Text   string `json:"text"`
	At     [2]num `json:"at"`
	Height num    `json:"height"`
	Angle  num    `json:"angle"`
	Where  string `json:"where"`
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

// FixJSON writes a repair as one JSON object: the counts before and after,
// every edit, what is left for a person to decide, tabs, numbers, and the
// account of the entities of the input.
func FixJSON(w io.Writer, version string, r *lint.Repaired) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "version", version)
	j.field(false, "input", r.Input)
	j.field(false, "output", r.Output)
	j.field(false, "units", unitsOf(r.Before))
	j.field(false, "before", TallyOf(findingsOf(r.Before)))
	j.field(false, "after", TallyOf(findingsOf(r.After)))
	j.name(false, "edits")
	j.list(len(r.Edits), " ", func(i int) any { return toEditJSON(&r.Edits[i]) })
	if len(r.Undone) > 0 {
		j.name(false, "undone")
		j.list(len(r.Undone), " ", func(i int) any { return toEditJSON(&r.Undone[i]) })
	}
	if len(r.Skipped) > 0 {
		j.name(false, "skipped")
		j.list(len(r.Skipped), " ", func(i int) any { return toEditJSON(&r.Skipped[i]) })
	}
	if r.Held != "" {
		j.field(false, "held", r.Held)
	}
	if r.Spread != nil {
		j.field(false, "spread", toSpreadJSON(r.Spread))
	}
	if r.Layout != nil {
		j.field(false, "layout", toLayoutJSON(r.Layout))
	}
	left := sorted(r.Left)
	j.name(false, "left")
	j.list(len(left), " ", func(i int) any { return toFindingJSON(&left[i]) })
	j.name(false, "tabs")
	j.list(len(r.Tabs), " ", func(i int) any {
		t := &r.Tabs[i]
		return tabJSON{t.Part, pointJSON(t.At), num(finite(t.Width)), num(finite(t.Gap))}
	})
	if len(r.Tabs) > 0 && r.After != nil && r.After.Job != nil {
		j.field(false, "slats", lint.SlatNote(r.After.Job))
	}
	j.name(false, "labels")
	j.list(len(r.Labels), " ", func(i int) any {
		l := &r.Labels[i]
		return labelJSON{l.Part, l.Text, pointJSON(l.At), num(finite(l.Height)), num(finite(l.Angle)), l.Where}
	})
	a := &r.Account
	j.field(false, "account", toAccountJSON(a))
	j.name(false, "left_out")
	out := leftOut(a)
	j.list(len(out), " ", func(i int) any { return out[i] })
	return j.close()
}
