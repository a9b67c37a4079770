// Package mend repairs a drawing: it judges, applies the repairs that the
// findings carry, judges again until nothing changes, adds numbers and tabs, and
// writes the corrected drawing. What it wrote is read back and judged, so that
// what the report says is true of the file and not of what was meant.
package mend

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"sluice/fix"
	"sluice/fix/guard"
	"sluice/fix/repair"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/lint"
	"sluice/lint/job"
)

// errPaths refuses what is no drawing of parts.
var errPaths = errors.New("this is a drawing of paths for the machine, made by fix --paths: repair the drawing of the parts that it was made of")

// maxRounds bounds how often a drawing is repaired and judged again.
const maxRounds = 10

// Options direct Fix.
type Options struct {
	lint.Options
	Only  []string // kinds of edit to make ("close-gap", "tab", …); empty: all
	Untab bool     // close the tabs that the drawing has, and make none
	// What moves or sizes whole parts.
	Spread bool // move parts apart that lie too close
	Scale  bool // scale the whole drawing so that its slots fit the sheet
}

// wants reports whether edits of a kind are asked for.
func (o *Options) wants(kind string) bool { return len(o.Only) == 0 || slices.Contains(o.Only, kind) }

// judged reads a drawing of parts and judges it as it is, ready for repair.
func judged(ctx context.Context, path string, r io.Reader, j *job.Job, o Options) (*lint.Result, error) {
	d, err := lint.Load(ctx, r, j, o.Options)
	if err != nil {
		return nil, err
	}
	if d.Paths {
		return nil, errPaths
	}
	repair.Layer(d, lint.LayerEtch)
	res, err := lint.Judge(ctx, path, d, j, o.Options)
	if err == nil {
		lint.PartsUnknown(res)
	}
	return res, err
}

// Fix repairs the drawing read from r and returns what was done and the
// corrected drawing. path only names it. An input that cannot be read gives an
// error and no drawing.
func Fix(ctx context.Context, path string, r io.Reader, j *job.Job, o Options) (*lint.Repaired, []byte, error) {
	before, err := judged(ctx, path, r, j, o)
	if err != nil {
		return nil, nil, err
	}
	if err := lint.Foretell(ctx, before, o.Options, nil); err != nil {
		return nil, nil, err
	}
	o.Known, o.Told, o.Corner = lint.KnownParts(before), before.Findings, &before.Corner
	var rep *lint.Repaired
	var out []byte
	err = inWays(func(w way) (err error) {
		rep, out, err = fixBy(ctx, before, j, o, w)
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	return rep, out, nil
}

// maxTries bounds how often a drawing is repaired anew because repairs that
// brought new findings were taken back.
const maxTries = 4

// fixBy repairs a judged drawing in one way. Repairs after which the written
// drawing shows a finding that the input did not are taken back.
func fixBy(ctx context.Context, before *lint.Result, j *job.Job, o Options, w way) (*lint.Repaired, []byte, error) {
	o.Once = w.once
	start := before
	if w.once {
		var err error
		if start, err = lint.Judge(ctx, before.Path, before.Drawing, j, o.Options); err != nil {
			return nil, nil, err
		}
	}
	m := &mender{
		ctx: ctx, path: before.Path, j: j, o: o, way: w, touched: make([]bool, len(before.Drawing.Entities)),
		guard: newGuard(before.Drawing, j, o),
	}
	d, err := m.tried(start)
	// What was taken back may do now that the rest is mended: a second repair of
	// the corrected drawing must find nothing to do.
	for n := 1; err == nil && len(d.m.undone) > 0 && n < maxTries; n++ {
		next, err := d.m.renewed().tried(d.after)
		if err != nil || bytes.Equal(next.out, d.out) {
			break
		}
		d = next
	}
	if err != nil {
		return nil, nil, err
	}
	m = d.m
	after := withLoss(before, d.after)
	if err := m.guard.Written(ctx, d.out); err != nil {
		return nil, nil, err
	}
	if err := measured(after.Sheet); err != nil {
		return nil, nil, err
	}
	if err := lint.Foretell(ctx, after, o.Options, before); err != nil {
		return nil, nil, err
	}
	rep, err := m.report(before, after, before)
	if err != nil {
		return nil, nil, err
	}
	return rep, d.out, nil
}

// report sums a repair up. Every entity of read, the input and what of it has no
// place in the corrected drawing, is accounted for; an error means that one is lost.
func (m *mender) report(before, after, read *lint.Result) (*lint.Repaired, error) {
	rep := &lint.Repaired{
		Input: m.path, Before: before, After: after, Edits: m.edits, Undone: m.undone, Skipped: m.unmade(),
		Left: leftOf(before, after), Tabs: m.tabs, Labels: m.labels, Spread: m.spreadTold,
		Held: m.held(), Lesser: m.way.told != "", Account: lint.AccountOf(read, m.touched),
	}
	return rep, checkAccount(rep.Account)
}

// drawnAnew is what came of a repair: the corrected drawing, and it read back.
type drawnAnew struct {
	m     *mender
	out   []byte
	after *lint.Result
}

// tried repairs a judged drawing, and again without those repairs that brought
// new findings. m itself is not changed.
func (m *mender) tried(start *lint.Result) (drawnAnew, error) {
	banned, undone := newSpots(again), []fix.Edit(nil)
	for try := 1; ; try++ {
		n := *m
		n.skipped = slices.Clone(m.skipped)
		n.edits, n.touched, n.guard = slices.Clone(m.edits), slices.Clone(m.touched), m.guard.Clone()
		n.banned, n.undone, n.made, n.done = banned, undone, newSpots(again), nil
		out, err := n.once(start)
		if err != nil {
			return drawnAnew{}, err
		}
		// Read back and repair again: a corrected drawing must stay as it is.
		after, out, err := n.settle(out, start.Drawing.Unit)
		if err != nil {
			return drawnAnew{}, err
		}
		if bad := culprits(start, after, n.done); len(bad) > 0 && try < maxTries {
			undone = n.takeBack(bad)
			continue
		}
		return drawnAnew{&n, out, after}, nil
	}
}

// renewed returns a mender that goes on from what m has written.
func (m *mender) renewed() *mender {
	n := *m
	n.again = true
	return &n
}

// mender carries one repair.
type mender struct {
	ctx     context.Context
	path    string
	j       *job.Job
	o       Options
	way     way
	edits   []fix.Edit
	undone  []fix.Edit
	skipped []fix.Edit // told where they are not made later
	done    []fix.Edit // those of edits that answer a finding
	banned  *spots     // edits not to be made
	made    *spots     // edits made
	tabs    []lint.Tab
	labels  []lint.Label
	touched []bool // by entity of the input: an edit replaced or removed it
	again   bool   // repairing what was written already: entities are not the input's
	guard   *guard.Guard

	laying     bool // the parts are laid out anew afterwards
	spreadTold *lint.Spread
	unnumbered int // parts for which no place was looked for, since it took too long
}

// once repairs a judged drawing and returns the corrected one as written.
func (m *mender) once(res *lint.Result) ([]byte, error) {
	res, err := m.mended(res)
	if err != nil {
		return nil, err
	}
	if res, err = m.cutFromNotes(res); err != nil {
		return nil, err
	}
	if res, err = m.arrange(res); err != nil {
		return nil, err
	}
	if res, err = m.finish(res); err != nil {
		return nil, err
	}
	return write(m.compose(res), res.Drawing.Unit)
}

// mended leaves parts out that are not to be cut, and repairs the others.
func (m *mender) mended(res *lint.Result) (*lint.Result, error) {
	if !m.again && !m.way.bare {
		var err error
		if res, err = m.leaveOut(res, false); err != nil {
			return nil, err
		}
	}
	return m.rounds(res)
}

func write(items []dxf.Item, u drawing.Unit) ([]byte, error) {
	var b bytes.Buffer
	err := dxf.Write(&b, &dxf.Output{Items: items, Factor: u.Written(), InsUnits: u.InsUnits(), Imperial: u.Imperial()})
	return b.Bytes(), err
}

// settle reads the corrected drawing back and repairs it until the bytes no
// longer change. It returns the last reading, judged. Where it comes back to a
// drawing it has had before, with nothing repaired between, only the order of
// writing wavers: of those drawings the one that sorts first stands.
func (m *mender) settle(out []byte, u drawing.Unit) (*lint.Result, []byte, error) {
	m.again = true
	j := *m.j
	j.Units, j.UnitsBasis = u.Name, u.Basis
	type reading struct {
		out   []byte
		res   *lint.Result
		edits int          // made before it was read
		guard *guard.Guard // what it was told until then
	}
	var had []reading
	load := m.o.Options
	load.SureUnit = true
	for range maxRounds {
		d, err := lint.Load(m.ctx, bytes.NewReader(out), &j, load)
		if err != nil {
			return nil, nil, fmt.Errorf("the corrected drawing cannot be read back: %w", err)
		}
		d.Unit.Doubt = "" // told of the input
		repair.Layer(d, lint.LayerEtch)
		res, err := lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
		if err != nil {
			return nil, nil, err
		}
		had = append(had, reading{out, res, len(m.edits), m.guard.Clone()})
		if out, err = m.once(res); err != nil {
			return nil, nil, err
		}
		back := slices.IndexFunc(had, func(r reading) bool { return bytes.Equal(r.out, out) && r.edits == len(m.edits) })
		if back < 0 {
			continue
		}
		r := slices.MinFunc(had[back:], func(x, y reading) int { return bytes.Compare(x.out, y.out) })
		m.tabs, m.labels, m.guard = readTabs(r.res), m.readLabels(r.res), r.guard
		return r.res, r.out, nil
	}
	if !m.way.bare {
		return nil, nil, errUnsettled
	}
	r := &had[len(had)-1]
	m.tabs, m.labels, m.guard = readTabs(r.res), m.readLabels(r.res), r.guard
	return r.res, r.out, nil
}

// rounds applies the repairs of the findings and judges again until there are
// none left to apply, ten times at most; what then still could be applied stays
// told. A repair after which a new finding stands is taken back.
func (m *mender) rounds(res *lint.Result) (*lint.Result, error) {
	for range maxRounds {
		fixes := m.collect(res)
		if len(fixes) == 0 {
			fixes = m.reliefs(res) // once all else is as it should be
		}
		if len(fixes) == 0 || m.way.bare {
			return res, nil
		}
		d, done, skipped := fix.Apply(res.Drawing, fixes)
		if len(done) == 0 {
			m.skip(skipped)
			return res, nil // none of them can be made
		}
		next, err := lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
		if err != nil {
			return nil, err
		}
		if bad := culprits(res, next, done); len(bad) > 0 {
			m.takeBack(bad)
			continue
		}
		m.skip(skipped)
		m.tell(res, done)
		m.done = append(m.done, done...)
		for i := range done {
			e := &done[i]
			if m.made.addEdit(e); m.made.count(e.Kind, e.At) >= tooOften || e.Kind == "make-part" {
				m.banned.addEdit(e) // it comes back whatever is done, or was asked for once
			}
		}
		res = next
	}
	return res, nil
}

// tooOften is how often one edit may be made at one place: a second time after
// the drawing was written and read back, no more.
const tooOften = 2

// held says why less was done than could be, "" if nothing was held back.
func (m *mender) held() string {
	if m.unnumbered == 0 || m.way.told != "" {
		return m.way.told
	}
	return fmt.Sprintf("the last %d parts got no number: finding places for them takes too long in this drawing", m.unnumbered)
}

// takeBack bans edits and tells that they were undone.
func (m *mender) takeBack(bad []fix.Edit) []fix.Edit {
	for _, e := range bad {
		m.banned.addEdit(&e)
		e.Note = "taken back, since a new finding came of it: " + e.Note
		m.undone = append(m.undone, e)
	}
	return m.undone
}

// collect gathers the fixes of a round.
func (m *mender) collect(res *lint.Result) []fix.Fix {
	var out []fix.Fix
	for i := range res.Findings {
	fixes:
		for _, f := range res.Findings[i].Fixes {
			for k := range f.Edits {
				if e := &f.Edits[k]; !m.o.wants(e.Kind) || m.banned.hasEdit(e) {
					continue fixes
				}
			}
			out = append(out, f)
		}
	}
	return out
}

// touch marks the entities whose strokes an edit replaced or removed.
func (m *mender) touch(res *lint.Result, e *fix.Edit) {
	if m.again {
		return
	}
	mark := func(ent int32) {
		if ent >= 0 && int(ent) < len(m.touched) {
			m.touched[ent] = true
		}
	}
	for i := range e.Ops {
		switch op := &e.Ops[i]; op.Kind {
		case fix.Drop, fix.Replace, fix.MoveA, fix.MoveB:
			mark(res.Drawing.Strokes[op.Stroke].Entity)
		case fix.SettleNotice:
			mark(res.Drawing.Notices[op.Index].Entity)
		case fix.SettleCurve:
			mark(res.Drawing.Curves[op.Index].Entity)
		case fix.DropText:
			mark(res.Drawing.Texts[op.Index].Entity)
		}
	}
}
