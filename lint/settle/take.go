package settle

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// errGone is told of a question that is not asked any more.
var errGone = errors.New("this is not asked any more; the drawing has changed since")

// asked returns the question of an id, from the round that is shown or, where it was
// answered, from the one in which it was asked. The desk is locked.
func (d *Desk) asked(id string) (*Question, bool) {
	if d.round != nil {
		if i := slices.IndexFunc(d.round.Asked, func(q Question) bool { return q.ID == id }); i >= 0 {
			return &d.round.Asked[i], true
		}
	}
	q, ok := d.known[id]
	return &q, ok
}

// Take answers a question with a choice, and if alike is set all that can be settled
// in one go with it.
func (d *Desk) Take(id string, alike bool, choice, note string) error {
	taken, err := d.toTake(id, alike)
	if err != nil {
		return err
	}
	if q := &taken[0]; !q.has(choice) {
		return fmt.Errorf("%q is no choice for %s; did you mean %q?", choice, q.Rule, job.Nearest(choice, q.names()))
	}
	did := choice + ": " + aboutAll(taken)
	return d.change(&did, func(a *job.Answers) error {
		for i := range taken {
			q := &taken[i]
			a.Add(q.Answered(choice, note))
			d.known[q.ID] = Question{Finding: q.Finding, Late: q.Late} // without its drawing, which goes
		}
		return nil
	})
}

// toTake returns the question of an id, and if alike is set those alike.
func (d *Desk) toTake(id string, alike bool) ([]Question, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	q, ok := d.asked(id)
	if !ok {
		return nil, errGone
	}
	taken := []Question{*q}
	if alike && d.round != nil {
		key := lint.AlikeKey(&q.Finding)
		for i := range d.round.Asked {
			if o := &d.round.Asked[i]; o.ID != id && lint.AlikeKey(&o.Finding) == key {
				taken = append(taken, *o)
			}
		}
	}
	return taken, nil
}

// PartID stands before a part's number where what was decided of it is meant.
const PartID = "part "

// Forget takes answers back, so that what they settled is asked again.
func (d *Desk) Forget(ids []string) error {
	did := "ask again"
	return d.change(&did, func(a *job.Answers) error {
		n := 0
		for _, id := range ids {
			part, of := strings.CutPrefix(id, PartID)
			switch {
			case of && a.OfPart(part) != nil:
				a.SetPart(job.PartAnswer{Part: part, Count: job.AsDrawn})
				n++
			case !of && a.Remove(id):
				n++
			}
		}
		if n == 0 {
			return errGone
		}
		return nil
	})
}

// aboutAll says in a few words what was answered.
func aboutAll(all []Question) string {
	if len(all) == 1 {
		s := all[0].Rule
		if p := all[0].Part; p != "" {
			s += ", part " + p
		}
		return s
	}
	return fmt.Sprintf("%d of %s", len(all), all[0].Rule)
}

// Question is a finding that waits for a person.
type Question struct {
	lint.Finding
	On   *lint.Result // the drawing that its choices would change
	Late bool         // it shows once the drawing is repaired, and not before
}

// Answered returns the answer to a question.
func (q *Question) Answered(choice, note string) job.Answer {
	a := job.Answer{Finding: q.ID, About: lint.AboutOf(&q.Finding), Choice: choice, Note: note}
	if q.Late {
		a.Shows = job.Repaired
	}
	return a
}

func (q *Question) names() []string {
	names := make([]string, len(q.Choices))
	for i := range q.Choices {
		names[i] = q.Choices[i].Name
	}
	return names
}

// has reports whether a name is that of a choice, or of one with a figure of the
// person's own, such as "scale:1.5".
func (q *Question) has(choice string) bool {
	return slices.ContainsFunc(q.Choices, func(w lint.Way) bool {
		kind, _, figure := strings.Cut(w.Name, ":")
		return w.Name == choice || figure && strings.HasPrefix(choice, kind+":")
	})
}

// Preview is what a choice would do, before it is taken.
type Preview struct {
	fix.Trace
	Box geom.Box // of it; empty where nothing is drawn
}

// Preview shows what a choice would do.
func (d *Desk) Preview(id, choice string) (*Preview, error) {
	d.mu.Lock()
	q, ok := d.asked(id)
	d.mu.Unlock()
	if !ok {
		return nil, errGone
	}
	k := slices.IndexFunc(q.Choices, func(w lint.Way) bool { return w.Name == choice })
	if k < 0 || q.On == nil {
		return &Preview{Box: geom.NoBox()}, nil
	}
	w := &q.Choices[k]
	p := &Preview{Trace: fix.TraceOf(q.On.Drawing, w.Edits(q.Rule)), Box: geom.NoBox()}
	p.aside(q.On, w.Aside)
	for i := range p.Gone {
		p.Box = p.Box.Union(p.Gone[i].Box())
	}
	for i := range p.New {
		p.Box = p.Box.Union(p.New[i].Box())
	}
	return p, nil
}

// aside shows parts moved aside.
func (p *Preview) aside(on *lint.Result, parts []int32) {
	if len(parts) == 0 {
		return
	}
	a := lint.AsideOf(on)
	for _, k := range parts {
		by, ok := a.Shift(int(k))
		if !ok {
			continue
		}
		part := &on.Sheet.Parts[k]
		for _, i := range append([]int32{part.Outer}, part.Holes...) {
			for _, q := range on.Sheet.Outlines[i].Pieces {
				p.Gone = append(p.Gone, drawing.Stroke{Piece: q})
				p.New = append(p.New, drawing.Stroke{Piece: q.Transform(geom.Shift(by))})
			}
		}
	}
}

// View is the desk as it stands.
type View struct {
	Version    int
	Round      *Round       // nil before anything was worked out
	Busy       bool         // the drawing is being repaired
	Answers    *job.Answers // in force
	Undo, Redo string       // what the next step back, or forth, is about; "" for none
	Known      map[string]Question
}

// View returns the desk as it stands.
func (d *Desk) View() (*View, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	a, err := d.answers()
	if err != nil {
		return nil, err
	}
	v := &View{Version: d.version, Round: d.round, Busy: !d.settled, Answers: a, Known: map[string]Question{}}
	for i := range a.List {
		if q, ok := d.asked(a.List[i].Finding); ok {
			v.Known[q.ID] = *q
		}
	}
	if n := len(d.past); n > 0 {
		v.Undo = d.past[n-1].did
	}
	if n := len(d.future); n > 0 {
		v.Redo = d.future[n-1].did
	}
	return v, nil
}
