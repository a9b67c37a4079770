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

// ErrUnsettled is returned where repairs go on changing the drawing after ten
// rounds.
var ErrUnsettled = errors.New("the repairs do not come to rest after ten rounds; please report this drawing")

// Fix repairs the drawing read from r and returns what was done and the
// corrected drawing. path only names it. An input that cannot be read gives an
// error and no drawing.
func Fix(ctx context.Context, path string, r io.Reader, j *job.Job, o Options) (*lint.Repaired, []byte, error) {
	d, err := lint.Load(ctx, r, j, o.Options)
	if err != nil {
		return nil, nil, err
	}
	repair.Layer(d, lint.LayerEtch)
	before, err := lint.Judge(ctx, path, d, j, o.Options)
	if err != nil {
		return nil, nil, err
	}
	m := &mender{ctx: ctx, path: path, j: j, o: o, touched: make([]bool, len(d.Entities)), guard: newGuard(d, j, o)}
	out, err := m.once(before)
	if err != nil {
		return nil, nil, err
	}
	// Read back and repair again: a corrected drawing must stay as it is.
	after, out, err := m.settle(out, d.Unit)
	if err != nil {
		return nil, nil, err
	}
	if err := m.guard.Written(ctx, out); err != nil {
		return nil, nil, err
	}
	rep := &lint.Repaired{
		Input: path, Before: before, After: after, Edits: m.edits, Undone: m.undone,
		Left: leftOf(before, after), Tabs: m.tabs, Labels: m.labels, Spread: m.spreadTold,
	}
	rep.Account = lint.AccountOf(before, m.touched)
	if err := checkAccount(rep.Account); err != nil {
		return nil, nil, err
	}
	return rep, out, nil
}

// mender carries one repair.
type mender struct {
	ctx     context.Context
	path    string
	j       *job.Job
	o       Options
	edits   []lint.EditRecord
	undone  []lint.EditRecord
	tabs    []lint.Tab
	labels  []lint.Label
	touched []bool // by entity of the input: an edit replaced or removed it
	again   bool   // repairing what was written already: entities are not the input's
	guard   *guard.Guard

	spreadTold *lint.Spread
}

// once repairs a judged drawing and returns the corrected one as written.
func (m *mender) once(res *lint.Result) ([]byte, error) {
	res, err := m.rounds(res)
	if err != nil {
		return nil, err
	}
	if res, err = m.arrange(res); err != nil {
		return nil, err
	}
	items := m.compose(res)
	return write(items, res.Drawing.Unit)
}

func write(items []dxf.Item, u drawing.Unit) ([]byte, error) {
	var b bytes.Buffer
	err := dxf.Write(&b, &dxf.Output{Items: items, Factor: u.Factor, InsUnits: u.InsUnits(), Imperial: u.Imperial()})
	return b.Bytes(), err
}

// settle reads the corrected drawing back and repairs it until the bytes no
// longer change. It returns the last reading, judged.
func (m *mender) settle(out []byte, u drawing.Unit) (*lint.Result, []byte, error) {
	m.again = true
	j := *m.j
	j.Units, j.UnitsBasis = u.Name, u.Basis
	for range maxRounds {
		d, err := lint.Load(m.ctx, bytes.NewReader(out), &j, m.o.Options)
		if err != nil {
			return nil, nil, fmt.Errorf("the corrected drawing cannot be read back: %w", err)
		}
		d.Unit.Doubt = "" // told of the input
		repair.Layer(d, lint.LayerEtch)
		res, err := lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
		if err != nil {
			return nil, nil, err
		}
		m.tabs, m.labels = readTabs(res), m.readLabels(res)
		next, err := m.once(res)
		if err != nil {
			return nil, nil, err
		}
		if bytes.Equal(next, out) {
			return res, out, nil
		}
		out = next
	}
	return nil, nil, ErrUnsettled
}

// rounds applies the repairs of the findings and judges again until there are
// none left to apply. A repair after which a new error stands is taken back.
func (m *mender) rounds(res *lint.Result) (*lint.Result, error) {
	banned := map[string]bool{}
	for range maxRounds {
		fixes := m.collect(res, banned)
		if len(fixes) == 0 {
			fixes = m.reliefs(res, banned) // once all else is as it should be
		}
		if len(fixes) == 0 {
			return res, nil
		}
		d, done, _ := fix.Apply(res.Drawing, fixes)
		next, err := lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
		if err != nil {
			return nil, err
		}
		if bad := culprits(res, next, done); len(bad) > 0 {
			for _, e := range bad {
				banned[key(e)] = true
				r := record(e)
				r.Note = "taken back, since a new error came of it: " + r.Note
				m.undone = append(m.undone, r)
			}
			continue
		}
		m.guard.Edited(res.Drawing, guardRoles(res.Drawing, m.j), done)
		for _, e := range done {
			m.edits = append(m.edits, record(e))
			m.touch(res, e)
		}
		res = next
	}
	return nil, ErrUnsettled
}

// collect gathers the fixes of a round.
func (m *mender) collect(res *lint.Result, banned map[string]bool) []fix.Fix {
	var out []fix.Fix
	for i := range res.Findings {
	fixes:
		for _, f := range res.Findings[i].Fixes {
			for _, e := range f.Edits {
				if !m.o.wants(e.Kind) || banned[key(e)] {
					continue fixes
				}
			}
			out = append(out, f)
		}
	}
	return out
}

// key names an edit across rounds.
func key(e fix.Edit) string { return fmt.Sprintf("%s %.4f %.4f", e.Kind, e.At.X, e.At.Y) }

func record(e fix.Edit) lint.EditRecord {
	ids := e.Entities
	if ids == nil {
		ids = []string{}
	}
	return lint.EditRecord{Edit: e.Kind, Rule: e.Rule, At: e.At, Moved: e.Moved, Part: e.Part, Entities: ids, Note: e.Note, Was: e.Was, Now: e.Now}
}

// touch marks the entities whose strokes an edit replaced or removed.
func (m *mender) touch(res *lint.Result, e fix.Edit) {
	if m.again {
		return
	}
	mark := func(ent int32) {
		if ent >= 0 && int(ent) < len(m.touched) {
			m.touched[ent] = true
		}
	}
	for _, op := range e.Ops {
		switch op.Kind {
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

// culprits returns the edits near errors that were not there before.
func culprits(old, now *lint.Result, done []fix.Edit) []fix.Edit {
	var bad []fix.Edit
	for i := range now.Findings {
		f := &now.Findings[i]
		if f.Severity != lint.Error || stood(old, f) {
			continue
		}
		for _, e := range done {
			if near(&e, f) && !slices.ContainsFunc(bad, func(b fix.Edit) bool { return key(b) == key(e) }) {
				bad = append(bad, e)
			}
		}
	}
	return bad
}

// reach is how far from an edit, mm, an error counts as its doing.
const reach = 1

func near(e *fix.Edit, f *lint.Finding) bool {
	if e.At.Dist(f.At) <= reach {
		return true
	}
	for _, op := range e.Ops {
		for _, s := range op.With {
			if s.Made == drawing.Edited && s.Dist(f.At) <= reach {
				return true
			}
		}
	}
	return false
}

// stood reports whether an error of the same rule lay within the same reach
// before.
func stood(old *lint.Result, f *lint.Finding) bool {
	for i := range old.Findings {
		g := &old.Findings[i]
		if g.Rule == f.Rule && g.At.Dist(f.At) <= reach {
			return true
		}
	}
	return false
}

// leftOf returns what is left for a person: what the corrected drawing still
// shows, and what only the input could tell, since it is not in the corrected
// drawing: content that was left out, problems met while reading, and a unit that
// was guessed.
func leftOf(before, after *lint.Result) []lint.Finding {
	left := slices.Clone(after.Findings)
	for i := range before.Findings {
		f := &before.Findings[i]
		if f.Rule != "unread-entity" && f.Rule != "unit-doubt" {
			continue
		}
		if !slices.ContainsFunc(after.Findings, func(g lint.Finding) bool { return g.Rule == f.Rule && g.Message == f.Message }) {
			left = append(left, *f)
		}
	}
	return left
}
