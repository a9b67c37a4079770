package mend

import (
	"fmt"
	"math"

	"sluice/fix/label"
	"sluice/fix/tab"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// placeReach is how far from a part's outline, mm, a place may be given and still mean
// that part: drawings are repaired and moved a little after places were given.
const placeReach = 10

// placesAsked sorts places that were given for a part to those that carry its number,
// each to the nearest. What is too far from all of them is noted.
func (m *mender) placesAsked(res *lint.Result, p *job.PartAnswer, at []geom.Point, parts []int, what string) map[int][]geom.Point {
	by := geom.Point{}
	if p.Corner != nil && m.o.Corner != nil {
		by = m.o.Corner.Sub(*p.Corner)
	}
	of := map[int][]geom.Point{}
	for _, q := range at {
		q = q.Add(by)
		best, k := math.Inf(1), -1
		for _, i := range parts {
			if d := distTo(res, i, q); d < best {
				best, k = d, i
			}
		}
		if best > placeReach && what == tabPlace || best > labelReach*m.j.Labels.Height+placeReach {
			m.j.Answers.Refuse(p, fmt.Sprintf("no %s at %.4g, %.4g: it is %.4g mm from part %s", what, q.X, q.Y, best, p.Part))
			continue
		}
		of[k] = append(of[k], q)
	}
	return of
}

// What places are given for.
const (
	tabPlace   = "tab"
	labelPlace = "number"
)

// labelReach is how far from its part a number may stand, as a share of its height.
const labelReach = 10

// distTo returns how far a place is from a part's outline, 0 on its material.
func distTo(res *lint.Result, k int, q geom.Point) float64 {
	part := &res.Sheet.Parts[k]
	if far := part.Box.Dist(geom.BoxOf(q)); far > 1000 {
		return far
	}
	d, _ := res.Sheet.Outlines[part.Outer].Pieces.Dist(q)
	return d
}

// partsAsked returns what was decided of each part, by part; nil where nothing was.
func partsAsked(res *lint.Result) []*job.PartAnswer {
	if res.Job.Answers == nil || len(res.Job.Answers.Parts) == 0 {
		return nil
	}
	of, byName := make([]*job.PartAnswer, len(res.Names)), lint.PartsByName(res)
	for i := range res.Job.Answers.Parts {
		p := &res.Job.Answers.Parts[i]
		for _, k := range byName[p.Part] {
			of[k] = p
		}
	}
	return of
}

// tabPlaces returns where tabs are wanted, by part.
func (m *mender) tabPlaces(res *lint.Result, asked []*job.PartAnswer) map[int][]geom.Point {
	return m.wanted(res, asked, tabPlace, func(p *job.PartAnswer) []geom.Point { return p.Tabs.At })
}

// wanted sorts the places of all answers to the parts.
func (m *mender) wanted(res *lint.Result, asked []*job.PartAnswer, what string, at func(*job.PartAnswer) []geom.Point) map[int][]geom.Point {
	if asked == nil || m.again {
		return nil
	}
	parts := map[*job.PartAnswer][]int{}
	for k, p := range asked {
		if p != nil && len(at(p)) > 0 {
			parts[p] = append(parts[p], k)
		}
	}
	of := map[int][]geom.Point{}
	for p, list := range parts {
		for k, places := range m.placesAsked(res, p, at(p), list, what) {
			of[k] = places
		}
	}
	return of
}

// tabsAt returns the tabs of part k at the places that a person wants; what is refused
// is noted.
func (t *tabber) tabsAt(k int, p *job.PartAnswer, places []geom.Point) (list []tab.Tab) {
	for _, q := range places {
		x, refused := t.pl.At(k, q, t.p)
		if refused == "" {
			for i := range list {
				if gap := math.Abs(list[i].S0 - x.S0); min(gap, t.res.Sheet.Outlines[x.Outline].Length-gap) < 2*x.Gap() {
					refused = "it is too near another"
				}
			}
		}
		if refused != "" {
			t.m.j.Answers.Refuse(p, fmt.Sprintf("no tab at %.4g, %.4g on part %s: %s", q.X, q.Y, p.Part, refused))
			continue
		}
		list = append(list, x)
	}
	return list
}

// labelAt returns the number of part k at one of the places that a person wants.
func (m *mender) labelAt(pl *label.Placer, k int, r label.Request, p *job.PartAnswer, places []geom.Point) (label.Label, bool) {
	for _, q := range places {
		l, refused := pl.At(k, r, q)
		if refused == "" {
			return l, true
		}
		m.j.Answers.Refuse(p, fmt.Sprintf("no number at %.4g, %.4g for part %s: %s", q.X, q.Y, p.Part, refused))
	}
	return label.Label{}, false
}

// Placing tells of a corrected drawing whether a tab or a number may stand elsewhere.
// It serves one goroutine at a time.
type Placing struct {
	res    *lint.Result
	labels []lint.Label
	m      *mender
	tabs   *tab.Placer
	avoid  [][4]geom.Point
	params tab.Params
	byName map[string][]int
}

// NewPlacing gets ready to look for places on a corrected drawing with its numbers.
func NewPlacing(res *lint.Result, labels []lint.Label) *Placing {
	m := &mender{j: res.Job}
	return &Placing{
		res: res, labels: labels, m: m, tabs: tab.NewPlacer(res.Sheet), avoid: m.noTabsOn(res, nil), params: tabParams(res.Job),
		byName: lint.PartsByName(res),
	}
}

// Nearest returns the part of a name that is nearest to a place, -1 for none.
func (p *Placing) Nearest(part string, q geom.Point) int {
	best, k := math.Inf(1), -1
	for _, i := range p.byName[part] {
		if d := distTo(p.res, i, q); d < best {
			best, k = d, i
		}
	}
	return k
}

// Tab returns where a tab of part k would be for a place on or near its outline, and why
// it is refused there, "" if it is not. others are the middles of the part's other tabs.
func (p *Placing) Tab(k int, q geom.Point, others []geom.Point) (geom.Point, string) {
	t, refused := p.tabs.At(k, q, p.params, p.avoid...)
	for _, o := range others {
		if refused == "" && o.Dist(t.At) < 2*t.Gap() {
			refused = "it is too near another"
		}
	}
	return t.At, refused
}

// Number tells why the number that lies at from is refused at a place, "" if it is not.
func (p *Placing) Number(k int, from, to geom.Point) string {
	own := -1
	for i := range p.labels {
		if own < 0 || p.labels[i].At.Dist(from) < p.labels[own].At.Dist(from) {
			own = i
		}
	}
	if own < 0 {
		return "it has no number"
	}
	l := &p.labels[own]
	s := *p.res.Sheet
	s.Etch = nil // but what the number itself is made of, what is etched is in the way
	reach := (float64(len(l.Text)) + 3) * l.Height
	for _, o := range p.res.Sheet.Etch {
		if o.Pieces.Box().Center().Dist(l.At) > reach {
			s.Etch = append(s.Etch, o)
		}
	}
	pl := label.NewPlacer(&s, p.res.Job.Jet.Kerf)
	_, refused := pl.At(k, label.Request{
		Text: l.Text, Height: p.res.Job.Labels.Height, MinHeight: p.res.Job.Labels.MinHeight, Clear: p.res.Job.Jet.Kerf,
		Within: p.m.takeClamps(pl, p.res),
	}, to)
	return refused
}
