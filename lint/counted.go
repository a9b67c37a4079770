package lint

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"sluice/fix"
	"sluice/fix/layout"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/job"
)

// eachCount calls do for each part of a judged drawing of which a person has said how
// many are cut, with all that are drawn of it, in their order.
func eachCount(r *Result, do func(p *job.PartAnswer, parts []int)) {
	if r.Job == nil || !r.Job.AsksCounts() && (r.Job.Answers == nil || len(r.Job.Answers.Parts) == 0) {
		return
	}
	of := PartsByName(r)
	for k, name := range r.Names {
		if of[name][0] != k {
			continue
		}
		if p := r.Job.CountAsked(name); p != nil {
			do(p, of[name])
		}
	}
}

// PartsByName lists the parts of a judged drawing by what they are called.
func PartsByName(r *Result) map[string][]int {
	of := map[string][]int{}
	for k, name := range r.Names {
		of[name] = append(of[name], k)
	}
	return of
}

// PartsUnknown notes the answers to parts that a drawing, as read, does not have.
func PartsUnknown(r *Result) {
	if r.Job == nil || r.Job.Answers == nil || len(r.Job.Answers.Parts) == 0 {
		return
	}
	of := PartsByName(r)
	for i := range r.Job.Answers.Parts {
		if p := &r.Job.Answers.Parts[i]; len(of[p.Part]) == 0 {
			r.Job.Answers.Refuse(p, "there is no such part; take the answer out")
		}
	}
}

// DropsAsked returns the edits that leave out parts of which fewer are to be cut than
// are drawn: the last of them. Where last is set, what cannot be left out is noted.
func DropsAsked(r *Result, last bool) (edits []fix.Edit) {
	ids := Pass{Drawing: r.Drawing}
	eachCount(r, func(p *job.PartAnswer, parts []int) {
		if p.Count >= len(parts) {
			return
		}
		for _, k := range parts[p.Count:] {
			part := &r.Sheet.Parts[k]
			ops, err := repair.DropPart(r.Drawing, r.Sheet, int32(k))
			if err != nil {
				if last {
					r.Job.Answers.Refuse(p, "part "+p.Part+" cannot be left out: "+err.Error())
				}
				continue
			}
			note := "part " + p.Part + " left out, as asked"
			if p.Count > 0 {
				note = fmt.Sprintf("one of part %s left out, since %d of it are asked for", p.Part, p.Count)
			}
			edits = append(edits, fix.Edit{
				Kind: "drop-part", At: part.Centroid, Part: p.Part, Note: note, Asked: true, Ops: ops,
				Entities: ids.EntityIDs(r.Sheet.Outlines[part.Outer].Src...),
			})
		}
	})
	return edits
}

// TimesAsked returns how often each part of a drawing is to be cut: once, but for the
// first of those of which more are asked for than are drawn.
func TimesAsked(r *Result) []int {
	times := make([]int, len(r.Sheet.Parts))
	for k := range times {
		times[k] = 1
	}
	eachCount(r, func(p *job.PartAnswer, parts []int) {
		if p.Count > len(parts) {
			times[parts[0]] += p.Count - len(parts)
		}
	})
	return times
}

// CopiesAsked returns the movements that draw parts once more as often as is asked for,
// each copy at the nearest free place, after the part itself, which stays. What finds
// no place on the sheet is noted; with force it goes beside all else.
func CopiesAsked(r *Result, force bool) (moves []layout.Move) {
	var of []int // by copy: its part
	eachCount(r, func(p *job.PartAnswer, parts []int) {
		for n := len(parts); n < p.Count; n++ {
			of = append(of, parts[0])
		}
	})
	if len(of) == 0 {
		return nil
	}
	s := *r.Sheet
	s.Parts = slices.Clone(s.Parts)
	for _, k := range of {
		s.Parts = append(s.Parts, s.Parts[k])
	}
	aside := AsideIn(&s, r.Job)
	beside := r.Sheet.PartsBox()
	gap := r.Job.MovedSpacing()
	short, stays := map[int]int{}, map[int]bool{}
	for i, k := range of {
		var by geom.Point
		ok := false
		if !r.Sheet.Parts[k].Tangled && short[k] == 0 {
			by, ok = aside.Shift(len(r.Sheet.Parts) + i)
		}
		if !ok && !force {
			short[k]++
			continue
		}
		box := r.Sheet.Parts[k].Box
		if !ok {
			by = geom.Pt(beside.Max.X+gap-box.Min.X, beside.Min.Y-box.Min.Y)
			beside.Max.X += gap + box.W()
		}
		if !stays[k] {
			stays[k] = true
			moves = append(moves, layout.Move{Part: k, T: geom.Identity()})
		}
		moves = append(moves, layout.Move{Part: k, T: geom.Shift(by)})
	}
	for k, n := range short {
		p := r.Job.CountAsked(r.Names[k])
		r.Job.Answers.Refuse(p, fmt.Sprintf("there is no free place on the sheet for %d more of part %s; lay all parts out anew with --layout", n, p.Part))
	}
	return moves
}

// KnownMoved returns what parts are known as once some have been drawn elsewhere.
func KnownMoved(r *Result, moves []layout.Move) []Named {
	known := KnownParts(r)
	first := map[int]bool{}
	for _, mv := range moves {
		x := known[mv.Part]
		x.At = mv.T.Apply(r.Sheet.Parts[mv.Part].Centroid)
		if first[mv.Part] {
			known = append(known, x)
			continue
		}
		first[mv.Part] = true
		known[mv.Part] = x
	}
	return known
}

// DrawCopies returns the edits that draw parts once more: moves as CopiesAsked returns
// them. Marks and texts within besides, mm, of a part go with it.
func DrawCopies(r *Result, moves []layout.Move, besides float64) (edits []fix.Edit) {
	ids := Pass{Drawing: r.Drawing}
	var stays []fix.Op // what draws the part itself anew goes with its first copy
	all := layout.Edits(r.Drawing, r.Sheet, moves, besides, true, func(mv *layout.Move) fix.Edit {
		part := &r.Sheet.Parts[mv.Part]
		return fix.Edit{
			Kind: "add-copy", Asked: true, At: mv.T.Apply(part.Centroid), Part: r.Names[mv.Part],
			Entities: ids.EntityIDs(r.Sheet.Outlines[part.Outer].Src...), Note: "one more of part " + r.Names[mv.Part] + ", as asked",
		}
	})
	for i := range all {
		if moves[i].T == geom.Identity() {
			stays = all[i].Ops
			continue
		}
		all[i].Ops, stays = append(stays, all[i].Ops...), nil
		edits = append(edits, all[i])
	}
	return edits
}

// counted leaves out of a judged drawing the parts of which fewer are asked for than
// are drawn, and judges what stays.
func counted(ctx context.Context, res *Result, o Options) (*Result, error) {
	PartsUnknown(res)
	return remade(ctx, res, DropsAsked(res, true), KnownParts(res), o)
}

// WithCopies returns a judged drawing with the parts of which more are asked for than
// are drawn drawn so often, for its schedule and what it takes.
func WithCopies(ctx context.Context, res *Result, o Options) (*Result, error) {
	moves := CopiesAsked(res, true)
	if len(moves) == 0 {
		return res, nil
	}
	return remade(ctx, res, DrawCopies(res, moves, 0), KnownMoved(res, moves), o)
}

// remade judges a drawing anew after edits.
func remade(ctx context.Context, res *Result, edits []fix.Edit, known []Named, o Options) (*Result, error) {
	if len(edits) == 0 {
		return res, nil
	}
	d, done, skipped := fix.Apply(res.Drawing, []fix.Fix{{Safety: fix.Choice, Edits: edits}})
	if len(done) == 0 {
		return nil, fmt.Errorf("parts cannot be left out or added as answered: %s", skipped[0].Why)
	}
	o.Known, o.Corner, o.Told = known, &res.Corner, res.Findings
	next, err := Judge(ctx, res.Path, d, res.Job, o)
	if err != nil {
		return nil, err
	}
	touched := make([]bool, len(d.Entities))
	for i := range done {
		for k := range done[i].Ops {
			if op := &done[i].Ops[k]; op.Kind == fix.Drop || op.Kind == fix.Replace {
				if e := res.Drawing.Strokes[op.Stroke].Entity; e >= 0 {
					touched[e] = true
				}
			}
		}
	}
	for e, was := range res.Fates {
		if touched[e] && next.Fates[e] == LeftOut && was != LeftOut {
			next.Fates[e] = Replaced
		}
	}
	next.Account = AccountOf(next, touched)
	return next, nil
}

// heldAsked notes which findings of small parts a person has answered by saying how
// such a part is held: by no tabs.
func heldAsked(all []Finding, s *outline.Sheet, names []string, a *job.Answers) {
	if a == nil || len(a.Parts) == 0 {
		return
	}
	for i := range all {
		f := &all[i]
		if f.Rule != "small-part" || f.Subject.Kind != OfPart {
			continue
		}
		p := a.OfPart(names[f.Subject.Index])
		if p != nil && p.Tabs.Set && p.Tabs.Number == 0 {
			f.Answer, f.AnswerNote, f.Fixes = job.Leave, "no tabs, as answered for part "+strconv.Quote(p.Part), nil
			f.Severity = min(f.Severity, Note)
		}
	}
}
