package diff

import (
	"cmp"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// settled is how near, mm, a tab or text must lie to its old place to count as
// not moved: what no eye sees and rounding in files may do.
const settled = 0.05

// Change says what became of something that is listed apart from shapes.
type Change string

// Changes.
const (
	Gained  Change = "added"
	Lost    Change = "removed"
	Shifted Change = "moved"
	Altered Change = "changed"
)

// Where names the part that something belongs to.
type Where struct {
	Before, After int        // indices of the part in the sheets, -1 where there is none
	At            geom.Point // as after, or as before for what is gone
}

// TabChange is a breakaway tab that came, went, moved or changed its width.
type TabChange struct {
	Change
	Where
	GapBefore, GapAfter float64    // drawn gap, mm; 0 where there is none
	Shift               geom.Point // against the part, mm, as after
}

// TextChange is a number or other lettering that came, went, moved on its part or
// reads otherwise.
type TextChange struct {
	Change
	Where
	Number     bool
	Was, Is    string
	Shift      geom.Point // against the part, mm, as after
	TextBefore int        // index in Side.Texts, -1 where there is none
	TextAfter  int
}

// LayerChange is a change of layers that parts share.
type LayerChange struct {
	Before, After []string
	Parts         []int // indices in Diff.Parts
}

type tab struct {
	at  geom.Point
	gap float64
}

// tabsOf lists the tabs of each part: stretches of outline left uncut.
func tabsOf(s *Side) [][]tab {
	out := make([][]tab, len(s.Sheet.Parts))
	for i := range s.Sheet.Outlines {
		o := &s.Sheet.Outlines[i]
		if o.Tabs == 0 {
			continue
		}
		n := len(o.Pieces)
		is := func(k int) bool { return o.Flags[(k+n)%n]&outline.IsTab != 0 }
		for k := range n {
			if !is(k) || is(k-1) {
				continue
			}
			var run geom.Path
			for j := k; is(j) && len(run) < n; j++ {
				run = append(run, o.Pieces[j%n])
			}
			l := run.Length()
			at, _ := run.Along(l / 2)
			out[o.Part] = append(out[o.Part], tab{at, l})
		}
	}
	return out
}

// nearestPairs pairs points: those that lie on each other, then the nearest first,
// none further apart than far. What is left of long lists is paired in order.
func nearestPairs(from, to []geom.Point, far float64) []pair {
	usedI, usedJ := make([]bool, len(from)), make([]bool, len(to))
	var out, pairs []pair
	take := func(i, j int) {
		usedI[i], usedJ[j] = true, true
		out = append(out, pair{i, j, from[i].Dist(to[j])})
	}
	places := index.NewCells[int](2*settled, len(to))
	for j := range to {
		places.Add(to[j], j)
	}
	for i := range from {
		places.Around(from[i], settled, func(j int) bool {
			if !usedJ[j] && from[i].Dist(to[j]) <= settled {
				take(i, j)
			}
			return !usedI[i]
		})
	}
	var restI, restJ []int
	for i := range from {
		if !usedI[i] {
			restI = append(restI, i)
		}
	}
	for j := range to {
		if !usedJ[j] {
			restJ = append(restJ, j)
		}
	}
	if len(restI)*len(restJ) > pairLimit {
		for k := range min(len(restI), len(restJ)) {
			if from[restI[k]].Dist(to[restJ[k]]) <= far {
				take(restI[k], restJ[k])
			}
		}
		return out
	}
	for _, i := range restI {
		for _, j := range restJ {
			if d := from[i].Dist(to[j]); d <= far {
				pairs = append(pairs, pair{i, j, d})
			}
		}
	}
	slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(x.cost, y.cost) })
	for _, p := range pairs {
		if !usedI[p.i] && !usedJ[p.j] {
			take(p.i, p.j)
		}
	}
	return out
}

func (d *Diff) compareTabs() {
	scale := 1.0
	if d.Whole != nil {
		scale = d.Whole.Scale
	}
	settled := scaled(settled, scale)
	before, after := tabsOf(d.Laid), tabsOf(d.After)
	for k := range d.Parts {
		p := &d.Parts[k]
		var ta, tb []tab
		var pa, pb []geom.Point
		far := 0.0
		if p.Before >= 0 {
			for _, t := range before[p.Before] {
				ta = append(ta, t)
				pa = append(pa, p.Lay.Apply(t.at))
			}
		}
		if p.After >= 0 {
			for _, t := range after[p.After] {
				tb = append(tb, t)
				pb = append(pb, t.at)
			}
			far = d.After.Sheet.Parts[p.After].Box.Diagonal()
		}
		doneA, doneB := make([]bool, len(ta)), make([]bool, len(tb))
		for _, q := range nearestPairs(pa, pb, far) {
			doneA[q.i], doneB[q.j] = true, true
			c := TabChange{Shifted, Where{p.Before, p.After, pb[q.j]}, ta[q.i].gap, tb[q.j].gap, pb[q.j].Sub(pa[q.i])}
			if q.cost <= settled {
				c.Change, c.Shift = Altered, geom.Point{}
			}
			if q.cost > settled || max(c.GapBefore, c.GapAfter)-min(c.GapBefore, c.GapAfter) > settled {
				d.Tabs = append(d.Tabs, c)
			}
		}
		for i := range ta {
			if !doneA[i] {
				d.Tabs = append(d.Tabs, TabChange{Lost, Where{p.Before, p.After, ta[i].at}, ta[i].gap, 0, geom.Point{}})
			}
		}
		for j := range tb {
			if !doneB[j] {
				d.Tabs = append(d.Tabs, TabChange{Gained, Where{p.Before, p.After, tb[j].at}, 0, tb[j].gap, geom.Point{}})
			}
		}
	}
}

// compareTexts compares the lettering of each pair of parts, numbers first, and
// then that which lies in no part or in one without a partner.
func (d *Diff) compareTexts() {
	byPart := func(s *Side, number bool) (of map[int][]int) {
		of = map[int][]int{}
		for i := range s.Texts {
			if t := &s.Texts[i]; t.Number == number {
				k := t.Part
				if k < 0 || k >= len(s.Sheet.Parts) {
					k = -1
				}
				of[k] = append(of[k], i)
			}
		}
		return of
	}
	for _, number := range []bool{true, false} {
		before, after := byPart(d.Laid, number), byPart(d.After, number)
		for k := range d.Parts {
			p := &d.Parts[k]
			var la, lb []int
			if p.Before >= 0 {
				la = before[p.Before]
			}
			if p.After >= 0 {
				lb = after[p.After]
			}
			d.textsOf(Where{Before: p.Before, After: p.After}, p.Lay, la, lb)
		}
		d.textsOf(Where{Before: -1, After: -1}, geom.Identity(), before[-1], after[-1])
	}
}

// textsOf compares texts before, laid by lay, with texts after: those that read
// the same first, the nearest of them; of the rest, one that lies where another
// lay reads otherwise.
func (d *Diff) textsOf(w Where, lay geom.Transform, la, lb []int) {
	if len(la) == 0 && len(lb) == 0 {
		return
	}
	same := map[string][2][]int{}
	var values []string
	put := func(v string, side, i int) {
		l, ok := same[v]
		if !ok {
			values = append(values, v)
		}
		l[side] = append(l[side], i)
		same[v] = l
	}
	for _, i := range la {
		put(d.Laid.Texts[i].Value, 0, i)
	}
	for _, j := range lb {
		put(d.After.Texts[j].Value, 1, j)
	}
	pointsOf := func(la, lb []int) (pa, pb []geom.Point) {
		for _, i := range la {
			pa = append(pa, lay.Apply(d.Laid.Texts[i].At))
		}
		for _, j := range lb {
			pb = append(pb, d.After.Texts[j].At)
		}
		return pa, pb
	}
	goneA, goneB := map[int]bool{}, map[int]bool{}
	tell := func(c Change, i, j int, shift geom.Point) {
		t := TextChange{Change: c, Where: w, Shift: shift, TextBefore: i, TextAfter: j}
		if i >= 0 {
			t.Was, t.At, t.Number = d.Laid.Texts[i].Value, d.Laid.Texts[i].At, d.Laid.Texts[i].Number
			goneA[i] = true
		}
		if j >= 0 {
			t.Is, t.At, t.Number = d.After.Texts[j].Value, d.After.Texts[j].At, d.After.Texts[j].Number
			goneB[j] = true
		}
		d.Texts = append(d.Texts, t)
	}
	const anywhere = 1e9
	for _, v := range values {
		l := same[v]
		pa, pb := pointsOf(l[0], l[1])
		for _, q := range nearestPairs(pa, pb, anywhere) {
			i, j := l[0][q.i], l[1][q.j]
			goneA[i], goneB[j] = true, true
			if q.cost > max(settled, d.Tolerance) {
				tell(Shifted, i, j, pb[q.j].Sub(pa[q.i]))
			}
		}
	}
	la = slices.DeleteFunc(slices.Clone(la), func(i int) bool { return goneA[i] })
	lb = slices.DeleteFunc(slices.Clone(lb), func(j int) bool { return goneB[j] })
	pa, pb := pointsOf(la, lb)
	far := 5.0
	for i := range la {
		if d.Laid.Texts[la[i]].Number {
			far = anywhere // a part has one number
		}
	}
	for _, q := range nearestPairs(pa, pb, far) {
		tell(Altered, la[q.i], lb[q.j], geom.Point{})
	}
	for _, i := range la {
		if !goneA[i] {
			tell(Lost, i, -1, geom.Point{})
		}
	}
	for _, j := range lb {
		if !goneB[j] {
			tell(Gained, -1, j, geom.Point{})
		}
	}
}

// compareLayers groups the parts whose outlines lie on other layers than before.
func (d *Diff) compareLayers() {
	at := map[string]int{}
	layers := func(s *Side, k int) []string {
		if k >= 0 && k < len(s.Layers) {
			return s.Layers[k]
		}
		return nil
	}
	for k := range d.Parts {
		p := &d.Parts[k]
		if p.Before < 0 || p.After < 0 {
			continue
		}
		x, y := layers(d.Before, p.Before), layers(d.After, p.After)
		if slices.Equal(x, y) {
			continue
		}
		key := strings.Join(x, "\x00") + "\x01" + strings.Join(y, "\x00")
		i, ok := at[key]
		if !ok {
			i = len(d.Layers)
			at[key] = i
			d.Layers = append(d.Layers, LayerChange{Before: x, After: y})
		}
		d.Layers[i].Parts = append(d.Layers[i].Parts, k)
	}
}
