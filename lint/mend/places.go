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
		x, refused := t.pl.At(k, q, t.p, t.avoid...)
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
