package settle

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// PartWish is what a person wants of a part; what is nil stays as it is.
type PartWish struct {
	Count *int    // how many are cut; job.AsDrawn for as many as are drawn
	Tabs  *string // "" as is best, "none", or how many
	Name  *string // "" for none
	Face  *string // "front", "back", "" as the job says
}

// WishPart keeps what is wanted of all parts with a number.
func (d *Desk) WishPart(part string, w PartWish) error {
	did := "part " + part
	return d.changePart(part, &did, func(p *job.PartAnswer) error {
		if w.Count != nil {
			if *w.Count < job.AsDrawn || *w.Count > 1000 {
				return fmt.Errorf("%d is no count; write 0 to leave the part out, 1000 at most", *w.Count)
			}
			p.Count = *w.Count
			did += fmt.Sprintf(": %d of it", p.Count)
		}
		if w.Tabs != nil {
			switch n, err := strconv.Atoi(*w.Tabs); {
			case *w.Tabs == "":
				p.Tabs = job.TabWish{}
			case *w.Tabs == "none":
				p.Tabs = job.TabWish{Set: true}
			case err != nil || n < 0 || n > 100:
				return fmt.Errorf("%q is no number of tabs", *w.Tabs)
			default:
				p.Tabs = job.TabWish{Set: true, Number: n}
			}
			did += ": tabs"
		}
		if w.Name != nil {
			p.Name = strings.TrimSpace(*w.Name)
			if len(p.Name) > 80 {
				return fmt.Errorf("the name is too long; 80 letters at most")
			}
			did += ": name"
		}
		if w.Face != nil {
			if !slices.Contains([]string{"", "front", "back"}, *w.Face) {
				return fmt.Errorf("%q is no face; front or back", *w.Face)
			}
			p.Face = *w.Face
			did += ": face"
		}
		return nil
	})
}

// changePart makes a step of a change of what was decided of a part that the drawing
// has. did may be filled in by how.
func (d *Desk) changePart(part string, did *string, how func(*job.PartAnswer) error) error {
	d.mu.Lock()
	r := d.round
	d.mu.Unlock()
	if r == nil || r.Picked || r.Judged == nil || r.Judged.Sheet == nil || !slices.Contains(r.Judged.Names, part) {
		return fmt.Errorf("there is no part %s", part)
	}
	return d.change(did, func(a *job.Answers) error {
		p := job.PartAnswer{Part: part, Count: job.AsDrawn}
		if had := a.OfPart(part); had != nil {
			p = *had
		}
		p.About = AboutPart(r.Judged, part)
		if err := how(&p); err != nil {
			return err
		}
		if len(p.Tabs.At)+len(p.Label) == 0 {
			p.Corner = nil
		} else if p.Corner == nil {
			p.Corner = &r.Judged.Corner
		}
		a.SetPart(p)
		return nil
	})
}

// AboutPart says in the file of answers which part is meant.
func AboutPart(r *lint.Result, part string) string {
	b := r.Sheet.Parts[slices.Index(r.Names, part)].Box
	return fmt.Sprintf("%.2f x %.2f mm", b.W(), b.H())
}

// What can be put elsewhere.
const (
	TabGrip    = "tab"
	NumberGrip = "number"
)

// Grip is a tab or a number of a corrected drawing, that can be put elsewhere.
type Grip struct {
	Kind, Part string
	At         geom.Point // mm
}

// mostGrips bounds how many are shown; a drawing with more is laid hand on part by part
// in the file of answers.
const mostGrips = 4000

// Grips returns what can be put elsewhere, none before the drawing is repaired.
func (r *Round) Grips() (all []Grip) {
	if r.Done == nil || r.Picked || len(r.Done.Tabs)+len(r.Done.Labels) > mostGrips {
		return nil
	}
	for i := range r.Done.Tabs {
		all = append(all, Grip{TabGrip, r.Done.Tabs[i].Part, r.Done.Tabs[i].At})
	}
	for i := range r.Done.Labels {
		all = append(all, Grip{NumberGrip, r.Done.Labels[i].Part, r.Done.Labels[i].At})
	}
	return all
}

// placing returns what tells whether a tab or number may stand elsewhere, made once.
func (r *Round) placing() *mend.Placing {
	if r.places == nil {
		r.places = mend.NewPlacing(r.Done.After, r.Done.Labels)
	}
	return r.places
}

// Spot tells where a tab or number would come to stand, and why it is refused there.
func (d *Desk) Spot(g Grip, to geom.Point) (at geom.Point, refused string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.spot(&g, to)
}

func (d *Desk) spot(g *Grip, to geom.Point) (at geom.Point, refused string, err error) {
	r := d.round
	if r == nil || r.Done == nil || !to.Finite() {
		return to, "", errGone
	}
	p := r.placing()
	k := p.Nearest(g.Part, g.At)
	if k < 0 {
		return to, "", errGone
	}
	if g.Kind == NumberGrip {
		return to, p.Number(k, g.At, to), nil
	}
	var others []geom.Point
	for _, q := range r.tabsOf(p, g.Part, k) {
		if q != g.At {
			others = append(others, q)
		}
	}
	at, refused = p.Tab(k, to, others)
	return at, refused, nil
}

// tabsOf returns the middles of the tabs of part k, which carries a number with others.
func (r *Round) tabsOf(p *mend.Placing, part string, k int) (at []geom.Point) {
	for i := range r.Done.Tabs {
		if t := &r.Done.Tabs[i]; t.Part == part && p.Nearest(part, t.At) == k {
			at = append(at, t.At)
		}
	}
	return at
}

// same is how near, mm, a place is the same.
const same = 0.5

// Put puts a tab or number elsewhere. The error says why that is refused.
func (d *Desk) Put(g Grip, to geom.Point) error {
	d.mu.Lock()
	at, refused, err := d.spot(&g, to)
	var tabs []geom.Point
	if err == nil && g.Kind == TabGrip {
		p := d.round.placing()
		tabs = d.round.tabsOf(p, g.Part, p.Nearest(g.Part, g.At))
	}
	r := d.round
	d.mu.Unlock()
	switch {
	case err != nil:
		return err
	case refused != "":
		return fmt.Errorf("part %s cannot have its %s there: %s", g.Part, g.Kind, refused)
	}
	did := fmt.Sprintf("part %s: %s moved", g.Part, g.Kind)
	return d.changePart(g.Part, &did, func(p *job.PartAnswer) error {
		by := geom.Point{} // from where places were given to where they are now
		if p.Corner != nil {
			by = r.Judged.Corner.Sub(*p.Corner)
		}
		to, from := at.Sub(by), g.At.Sub(by)
		if g.Kind == NumberGrip {
			p.Label = replaced(p.Label, from, to)
			return nil
		}
		if !near(p.Tabs.At, from) { // none of this copy's are where a person put them yet
			for _, q := range tabs {
				p.Tabs.At = append(p.Tabs.At, q.Sub(by))
			}
		}
		p.Tabs.At = replaced(p.Tabs.At, from, to)
		p.Tabs.Set, p.Tabs.Number = true, len(p.Tabs.At)
		return nil
	})
}

func near(list []geom.Point, q geom.Point) bool {
	return slices.ContainsFunc(list, func(p geom.Point) bool { return p.Dist(q) <= same })
}

// replaced puts a place where another was, or at the end.
func replaced(list []geom.Point, from, to geom.Point) []geom.Point {
	list = slices.Clone(list)
	if i := slices.IndexFunc(list, func(p geom.Point) bool { return p.Dist(from) <= same }); i >= 0 {
		list[i] = to
		return list
	}
	return append(list, to)
}
