package report

import (
	"cmp"
	"slices"

	"sluice/lint"
)

// accountOf says what becomes of the entities of a judged drawing, by type.
func accountOf(r *lint.Result) *lint.Account {
	if r == nil || r.Drawing == nil || len(r.Fates) != len(r.Drawing.Entities) {
		return nil
	}
	a := &lint.Account{}
	at := map[string]int{}
	for i := range r.Drawing.Entities {
		typ := r.Drawing.Entities[i].Type
		k, ok := at[typ]
		if !ok {
			k = len(a.ByType)
			at[typ] = k
			a.ByType = append(a.ByType, lint.TypeAccount{Type: typ})
		}
		t := &a.ByType[k]
		t.Read++
		a.Read++
		switch r.Fates[i] {
		case lint.Used:
			t.Used++
			a.Used++
		case lint.Carried:
			t.Carried++
			a.Carried++
		case lint.Replaced:
			t.Replaced++
			a.Replaced++
		default:
			t.LeftOut++
			a.LeftOut++
		}
	}
	slices.SortFunc(a.ByType, func(x, y lint.TypeAccount) int { return cmp.Compare(x.Type, y.Type) })
	return a
}

// cleanAccount returns a copy with its texts made safe for one line.
func cleanAccount(a *lint.Account) *lint.Account {
	c := *a
	c.ByType, c.Left = slices.Clone(a.ByType), slices.Clone(a.Left)
	for i := range c.ByType {
		c.ByType[i].Type = clean(c.ByType[i].Type)
	}
	for i := range c.Left {
		c.Left[i].Type, c.Left[i].Why = clean(c.Left[i].Type), clean(c.Left[i].Why)
	}
	return &c
}
