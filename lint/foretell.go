package lint

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
	"sluice/lint/job"
)

// foreseen is how many strokes are judged anew at most to tell what choices bring: so
// many for each of the drawing, and so many more. Beyond, choices tell what their rules
// know of it.
const foreseenEach, foreseenMore = 1, 10000

// foreseenSteps is how many strokes and changes are looked at meanwhile at most, for each
// stroke of the drawing, and how many more: many choices may be about one large part.
const foreseenSteps, foreseenStepsMore = 20, 100000

// Foretell tells of each choice that changes outlines what else comes of it: it is made
// in a drawing of what lies near, which is judged as it is and as it would be. New
// findings of warning or graver are told in the words of the choice, and choices that
// bring worse than they mend are offered after the others. Findings that another result
// tells of, which may be nil, are left out.
func Foretell(ctx context.Context, res *Result, o Options, told *Result) error {
	if res.Sheet == nil || res.Drawing.Paths || o.Plain {
		return nil
	}
	known := map[string]bool{}
	if told != nil {
		for i := range told.Findings {
			known[told.Findings[i].ID] = true
		}
	}
	var ask []*Finding
	for i := range res.Findings {
		if f := &res.Findings[i]; f.Answer == "" && !known[f.ID] && slices.ContainsFunc(f.Choices, func(w Way) bool { return w.changes() }) {
			ask = append(ask, f)
		}
	}
	if len(ask) == 0 {
		return nil
	}
	slices.SortStableFunc(ask, func(x, y *Finding) int { return int(y.Severity) - int(x.Severity) })
	s := newSeer(ctx, res, o)
	if told == nil { // the drawing as read, which stays the same
		s.seen = o.Seen
	}
	for _, f := range ask {
		for k := range f.Choices {
			w := &f.Choices[k]
			if !w.changes() {
				continue
			}
			if err := s.tell(f, w); err != nil {
				return err
			}
		}
		last := len(f.Choices) - 1 // that is job.Leave
		f.Choices = append(inOrder(f.Choices[:last]), f.Choices[last])
	}
	return nil
}

// changes reports whether a choice is made of edits that could bring something.
func (w *Way) changes() bool { return len(w.Fixes) > 0 || w.later != nil || w.Scale }

// seer looks at what choices would bring.
type seer struct {
	ctx    context.Context
	res    *Result
	job    *job.Job
	o      Options
	reach  float64 // how far, mm, what is changed can matter
	left   int     // strokes that may still be judged
	steps  int     // strokes and changes that may still be looked at
	parts  *index.Tree
	of     [][]int32           // by part: its strokes, in order
	loose  []int32             // strokes of no part
	around *index.Tree         // over loose
	before map[string]*foreSub // by what is looked at
	sized  *[]Finding          // of the scaled drawing; nil: not looked at
	joints map[int32][]int32   // by outline of a slot: the parts whose tabs go into it
	mates  map[int32][]int32   // by part: the parts that its joints go together with
	draws  map[int32]int32     // by stroke: the outline that it draws
	seen   *Foresight          // nil: nothing is remembered
}

func newSeer(ctx context.Context, res *Result, o Options) *seer {
	j := *res.Job
	j.Answers = nil
	s := &seer{
		ctx: ctx, res: res, job: &j, o: Options{Workers: o.Workers, SureUnit: true, Once: o.Once},
		reach:  searchDistance + max(j.PartSpacing(), j.WebLimit(), j.HoleLimit(), 2*j.Jet.Kerf),
		left:   foreseenEach*len(res.Drawing.Strokes) + foreseenMore,
		steps:  foreseenSteps*len(res.Drawing.Strokes) + foreseenStepsMore,
		before: map[string]*foreSub{},
		of:     make([][]int32, len(res.Sheet.Parts)),
	}
	for _, r := range o.Rules {
		if r.Brought != NotBrought {
			s.o.Rules = append(s.o.Rules, r)
		}
	}
	boxes := make([]geom.Box, len(res.Sheet.Parts))
	owned := make([]int32, len(res.Drawing.Strokes))
	for i := range owned {
		owned[i] = -1
	}
	for k := range res.Sheet.Parts {
		p := &res.Sheet.Parts[k]
		boxes[k] = p.Box
		for _, i := range append([]int32{p.Outer}, p.Holes...) {
			for _, x := range res.Sheet.Outlines[i].Src {
				if x >= 0 && owned[x] != int32(k) {
					owned[x] = int32(k) // of a shared edge both parts hold it
					s.of[k] = append(s.of[k], x)
				}
			}
		}
	}
	s.parts = index.NewTree(boxes)
	var near []geom.Box
	for i := range owned {
		if owned[i] < 0 {
			s.loose = append(s.loose, int32(i))
			near = append(near, res.Drawing.Strokes[i].Box())
		}
	}
	s.around = index.NewTree(near)
	return s
}

// Foresight remembers what choices bring, for a drawing that is judged again and again
// under other answers. It serves one drawing under one job, and one goroutine at a time.
type Foresight struct{ of map[string]Way }

// recall tells a choice as it was told before, false where it was not.
func (s *seer) recall(f *Finding, w *Way) bool {
	if s.seen == nil {
		return false
	}
	had, ok := s.seen.of[s.seenKey(f, w)]
	if ok {
		w.Brought, w.minds, w.Worse = had.Brought, had.minds, had.Worse
		w.tell()
	}
	return ok
}

// remember keeps how a choice was told.
func (s *seer) remember(f *Finding, w *Way) {
	if s.seen == nil {
		return
	}
	if s.seen.of == nil {
		s.seen.of = map[string]Way{}
	}
	s.seen.of[s.seenKey(f, w)] = Way{Brought: w.Brought, minds: w.minds, Worse: w.Worse}
}

// seenKey names a choice of a finding of the drawing as it is read.
func (s *seer) seenKey(f *Finding, w *Way) string {
	return fmt.Sprintf("%s|%s|%s|%g|%d", f.ID, w.Name, f.Message, s.res.Drawing.Unit.Factor, len(s.res.Drawing.Strokes))
}

// tell adds to a choice what it brings.
func (s *seer) tell(f *Finding, w *Way) error {
	if s.recall(f, w) {
		return nil
	}
	var worse []Finding
	var err error
	var fixes []fix.Fix
	switch {
	case w.Scale:
		worse, err = s.scaled()
	case s.steps > 0:
		fixes = w.taken(f.Rule)
		worse, err = s.trial(fixes)
	}
	if err != nil {
		return err
	}
	knew := slices.Clone(w.Brought)
	for i := range worse {
		if r := s.rule(worse[i].Rule); !slices.Contains(knew, r.ID) {
			w.Mind(r.ID, r.Brought == BroughtWorse, s.mind(&worse[i]))
		}
	}
	if lone := s.widowed(fixes); len(lone) > 0 {
		slices.SortFunc(lone, CompareNames)
		w.Mind("unmatched-joint", false, "joints of part "+strings.Join(lone, ", ")+" may be left without a mate")
	}
	s.remember(f, w)
	w.tell()
	return nil
}

func (s *seer) rule(id string) *Rule {
	return s.o.Rules[slices.IndexFunc(s.o.Rules, func(r *Rule) bool { return r.ID == id })]
}

// scaled returns what is new in the drawing once all of it is scaled to fit the sheet.
// It is worked out once for all that offer it.
func (s *seer) scaled() ([]Finding, error) {
	if s.sized != nil {
		return *s.sized, nil
	}
	s.sized = new([]Finding)
	sc, e, err := ScaleOf(s.res)
	if err != nil {
		return nil, nil // the choice says so when it is taken
	}
	d, done, _ := fix.Apply(s.res.Drawing, OneFix(fix.Choice, e))
	if len(done) == 0 {
		return nil, nil
	}
	all, err := s.judge(d)
	if err != nil {
		return nil, err
	}
	for i := range all {
		g := &all[i]
		if g.Severity >= Warning && g.Repair != Auto && !toldBefore(s.res.Findings, g, sc.Factor) {
			*s.sized = append(*s.sized, *g)
		}
	}
	return *s.sized, nil
}

// mind says in a few words what a finding is about.
func (s *seer) mind(f *Finding) string {
	text, why := f.Fact.One, f.Fact.Why
	if text == "" {
		return f.Message
	}
	if f.Fact.Says {
		text = "a part " + text
	}
	if f.Measure != nil {
		m := strconv.FormatFloat(f.Measure.Value, 'f', 2, 64)
		m = strings.TrimSuffix(strings.TrimRight(m, "0"), ".") + " " + f.Measure.Unit
		text, why = strings.ReplaceAll(text, "#", m), strings.ReplaceAll(why, "#", m)
	}
	if why != "" {
		text += " (" + why + ")"
	}
	return text
}

// foreSub is a drawing of some strokes of another, and what is found in it.
type foreSub struct {
	d     drawing.Drawing
	at    map[int32]int32 // by stroke of the whole: the stroke here
	texts map[int32]int32
	found []Finding
}

// trial makes fixes in a drawing of what lies near and returns what is new in it, of
// warning or graver, that fix does not mend unasked.
func (s *seer) trial(fixes []fix.Fix) ([]Finding, error) {
	sub, err := s.near(fixes)
	if err != nil || sub == nil {
		return nil, err
	}
	own := make([]fix.Fix, len(fixes))
	for i := range fixes {
		if own[i] = fixes[i]; !sub.moved(&own[i]) {
			return nil, nil
		}
	}
	d, done, _ := fix.Apply(&sub.d, own)
	if len(done) == 0 {
		return nil, nil
	}
	s.left -= len(d.Strokes)
	all, err := s.judge(d)
	if err != nil {
		return nil, err
	}
	var worse []Finding
	for i := range all {
		g := &all[i]
		if g.Severity < Warning || g.Repair == Auto || g.Rule == "no-outline" && len(sub.at) < len(s.res.Drawing.Strokes) {
			continue
		}
		if !toldBefore(sub.found, g, 1) {
			worse = append(worse, *g)
		}
	}
	return worse, nil
}

// toldBefore reports whether one of the findings, made factor times as large, is g, as
// grave or graver.
func toldBefore(found []Finding, g *Finding, factor float64) bool {
	reach := max(1, factor) * foreSame
	for i := range found {
		if x := &found[i]; x.Rule == g.Rule && x.Severity >= g.Severity && x.At.Mul(factor).Dist(g.At) <= reach {
			return true
		}
	}
	return false
}

// foreSame is how far, mm, a finding may shift by a choice and be the same.
const foreSame = 1

func (s *seer) judge(d *drawing.Drawing) ([]Finding, error) {
	role, own := Roles(d, s.job)
	r, err := examine(s.ctx, s.res.Path, d, s.job, s.o, role, own, func() {})
	if err != nil {
		return nil, err
	}
	return r.Findings, nil
}

// near returns the drawing of what fixes can matter to, nil where they change no
// strokes or it would take too long.
func (s *seer) near(fixes []fix.Fix) (*foreSub, error) {
	box, changes := changedBox(s.res.Drawing.Strokes, fixes)
	s.steps -= changes
	if box.Empty() {
		return nil, nil
	}
	box = box.Inflate(s.reach)
	var parts []int32
	n := 0
	s.parts.In(box, func(k int32) bool {
		parts = append(parts, k)
		n += len(s.of[k])
		return n <= s.left
	})
	s.steps -= len(parts)
	if n > s.left {
		return nil, nil
	}
	slices.Sort(parts)
	all := box
	for _, k := range parts {
		all = all.Union(s.res.Sheet.Parts[k].Box)
	}
	var loose []int32
	s.around.In(all, func(i int32) bool {
		loose = append(loose, s.loose[i])
		return n+len(loose) <= s.left
	})
	s.steps -= len(loose)
	if n+len(loose) > s.left {
		return nil, nil
	}
	slices.Sort(loose)
	key := fmt.Sprint(parts, loose)
	sub := s.before[key]
	switch {
	case sub != nil:
		return sub, nil
	case 2*(n+len(loose)) > s.left: // it is judged as it is, and as it would be
		return nil, nil
	}
	strokes := loose
	for _, k := range parts {
		strokes = append(strokes, s.of[k]...)
	}
	slices.Sort(strokes)
	strokes = slices.Compact(strokes)
	sub = s.sub(strokes, all)
	s.left -= len(strokes)
	var err error
	if sub.found, err = s.judge(&sub.d); err != nil {
		return nil, err
	}
	s.before[key] = sub
	return sub, nil
}

// sub returns the drawing of some strokes, and of the texts within a box.
func (s *seer) sub(strokes []int32, box geom.Box) *foreSub {
	from := s.res.Drawing
	sub := &foreSub{d: *from, at: map[int32]int32{}, texts: map[int32]int32{}}
	sub.d.Strokes, sub.d.Texts, sub.d.Points, sub.d.Notices, sub.d.Shown, sub.d.Curves, sub.d.Problems = nil, nil, nil, nil, nil, nil, nil
	for _, x := range strokes {
		sub.at[x] = int32(len(sub.d.Strokes))
		sub.d.Strokes = append(sub.d.Strokes, from.Strokes[x])
	}
	for i := range from.Texts {
		if box.Contains(from.Texts[i].At) || box.Contains(from.Texts[i].Insert) {
			sub.texts[int32(i)] = int32(len(sub.d.Texts))
			sub.d.Texts = append(sub.d.Texts, from.Texts[i])
		}
	}
	return sub
}

// moved lets a fix of the whole drawing speak of this one; ok is false where it is about
// what is not here.
func (sub *foreSub) moved(f *fix.Fix) bool {
	edits := slices.Clone(f.Edits)
	for i := range edits {
		ops := slices.Clone(edits[i].Ops)
		for k := range ops {
			op := &ops[k]
			ok := true
			switch op.Kind {
			case fix.Drop, fix.MoveA, fix.MoveB, fix.Replace, fix.Take:
				op.Stroke, ok = at(sub.at, op.Stroke)
			case fix.DropText, fix.ReplaceText:
				op.Index, ok = at(sub.texts, op.Index)
			case fix.Add, fix.AddText:
			default:
				ok = false
			}
			if op.On != nil {
				op.On = slices.Clone(op.On)
				for n := range op.On {
					x, has := at(sub.at, op.On[n].Stroke)
					op.On[n].Stroke, ok = x, ok && has
				}
			}
			if !ok {
				return false
			}
		}
		edits[i].Ops = ops
	}
	f.Edits = edits
	return true
}

func at(m map[int32]int32, i int32) (int32, bool) {
	k, ok := m[i]
	return k, ok
}

// changedBox returns the box around the strokes that fixes change, as they are and as
// they come to be, and around those by which they are reckoned, and counts the changes.
func changedBox(strokes []drawing.Stroke, fixes []fix.Fix) (box geom.Box, changes int) {
	box = geom.NoBox()
	for i := range fixes {
		for k := range fixes[i].Edits {
			for n := range fixes[i].Edits[k].Ops {
				op := &fixes[i].Edits[k].Ops[n]
				changes += 1 + len(op.With)
				switch op.Kind {
				case fix.MoveA, fix.MoveB:
					box = box.Union(geom.BoxOf(op.To)).Union(strokes[op.Stroke].Box())
				case fix.Drop, fix.Replace, fix.Take:
					box = box.Union(strokes[op.Stroke].Box())
				}
				for m := range op.With {
					box = box.Union(op.With[m].Box())
				}
				for _, e := range op.On {
					box = box.Union(strokes[e.Stroke].Box())
				}
			}
		}
	}
	return box, changes
}
