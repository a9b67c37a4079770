package lint

import (
	"cmp"
	"slices"
	"strings"

	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// AccountOf says what became of every entity of a judged drawing, by type:
// used, carried over, left out with why or, where touched says so, replaced by
// an edit. touched may be nil. Read is the sum of the others.
func AccountOf(r *Result, touched []bool) Account {
	d := r.Drawing
	why := reasons(d)
	var a Account
	types := map[string]*TypeAccount{}
	left := map[[2]string]int{}
	for i := range d.Entities {
		e := &d.Entities[i]
		t := types[e.Type]
		if t == nil {
			t = &TypeAccount{Type: e.Type}
			types[e.Type] = t
		}
		a.Read++
		t.Read++
		switch f := r.Fates[i]; {
		case f != LeftOut && i < len(touched) && touched[i]:
			a.Replaced++
			t.Replaced++
		case f == Used:
			a.Used++
			t.Used++
		case f == Carried:
			a.Carried++
			t.Carried++
		default:
			a.LeftOut++
			t.LeftOut++
			w := why[i]
			switch {
			case w != "":
			case e.Kept:
				w = "draws nothing that is cut or carried (" + d.LayerName(e.Layer) + ")"
			default:
				w = "no outline is known for it"
			}
			left[[2]string{e.Type, w}]++
		}
	}
	for _, t := range types {
		a.ByType = append(a.ByType, *t)
	}
	slices.SortFunc(a.ByType, func(x, y TypeAccount) int { return cmp.Compare(x.Type, y.Type) })
	for k, n := range left {
		a.Left = append(a.Left, LeftOutItem{Type: k[0], Count: n, Why: k[1]})
	}
	slices.SortFunc(a.Left, func(x, y LeftOutItem) int {
		return cmp.Or(cmp.Compare(x.Type, y.Type), cmp.Compare(x.Why, y.Why))
	})
	return a
}

// Balanced reports whether every entity read has exactly one fate, in all and
// for each type.
func (a *Account) Balanced() bool {
	sum := TypeAccount{}
	for _, t := range a.ByType {
		if t.Read != t.Used+t.Carried+t.Replaced+t.LeftOut {
			return false
		}
		sum.Read += t.Read
		sum.Used += t.Used
		sum.Carried += t.Carried
		sum.Replaced += t.Replaced
		sum.LeftOut += t.LeftOut
	}
	left := 0
	for _, l := range a.Left {
		left += l.Count
	}
	return sum == TypeAccount{Read: a.Read, Used: a.Used, Carried: a.Carried, Replaced: a.Replaced, LeftOut: a.LeftOut} && left == a.LeftOut
}

// reasons says of each entity why it may be left out, "" where nothing was told.
func reasons(d *drawing.Drawing) []string {
	why := make([]string, len(d.Entities))
	for i := range d.Notices {
		if n := &d.Notices[i]; n.Kind != drawing.NotFlat && why[n.Entity] == "" {
			why[n.Entity] = NoticeWhy(d, n)
		}
	}
	for i := range d.Problems {
		if p := &d.Problems[i]; p.Lost && p.Entity >= 0 && int(p.Entity) < len(why) && why[p.Entity] == "" {
			why[p.Entity] = p.Text
		}
	}
	return why
}

// NoticeWhy returns what a notice tells, without the type of its entity in
// front: "not cut" of a DIMENSION.
func NoticeWhy(d *drawing.Drawing, n *drawing.Notice) string {
	typ := d.Entities[n.Entity].Type
	if n.Text == typ {
		return "no outline is known for it"
	}
	return strings.TrimPrefix(n.Text, typ+", ")
}

// fates says what becomes of each entity if nothing is repaired.
func fates(d *drawing.Drawing, s *outline.Sheet, role func(*drawing.Stroke) outline.Role) []Fate {
	f := make([]Fate, len(d.Entities))
	raise := func(e int32, to Fate) {
		if e >= 0 && int(e) < len(f) && (f[e] == LeftOut || to == Used) {
			f[e] = to
		}
	}
	for _, t := range d.Texts {
		raise(t.Entity, Carried)
	}
	for _, p := range d.Points {
		raise(p.Entity, Carried)
	}
	for i := range d.Strokes {
		st := &d.Strokes[i]
		switch r := role(st); {
		case d.Paths:
			raise(st.Entity, Carried)
		case r == outline.Ignore:
		case r == outline.Noted:
			raise(st.Entity, Carried)
		default:
			raise(st.Entity, Used)
		}
	}
	return f
}
