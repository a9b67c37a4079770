package mend

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// LayoutInput is one of several drawings that are laid out together: its job is that of
// the first, with answers of its own.
type LayoutInput struct {
	Path string
	R    io.Reader
	Job  *job.Job
}

// LayOutAll repairs drawings, each by itself, and lays the parts of all out together, as
// LayOut does. Parts keep their numbers; where a number stands in two drawings, those of
// the later get a letter before it.
func LayOutAll(ctx context.Context, inputs []LayoutInput, o Options, l LayoutOptions) ([]SheetOut, error) {
	whole := context.WithoutCancel(ctx)
	var list []*source
	for i := range inputs {
		in := &inputs[i]
		if len(inputs) > 1 && in.Job.AsksCounts() {
			return nil, fmt.Errorf("%s: counts in [[part]] are of one drawing; with several, write them into the answers of each", in.Job.Path)
		}
		s, err := sourceOf(ctx, whole, in.Path, in.R, in.Job, o)
		if err != nil {
			if len(inputs) > 1 {
				err = fmt.Errorf("%s: %w", in.Path, err)
			}
			return nil, err
		}
		list = append(list, s)
	}
	if len(list) == 1 {
		return list[0].layOut(ctx, l)
	}
	s, err := beside(list, o)
	if err != nil {
		return nil, err
	}
	out, err := s.layOut(ctx, l)
	for i := range list { // what was refused is told with the answers it stands in
		for _, x := range s.m.j.Answers.Refused() {
			for old, name := range s.renamed[i] {
				if p := list[i].m.j.Answers.OfPart(old); p != nil && name == x.Part {
					list[i].m.j.Answers.Refuse(p, x.Why)
				}
			}
		}
	}
	return out, err
}

// apart is how far from each other, mm, drawings are put to be one.
const apart = 100

// beside makes one source of several.
func beside(list []*source, o Options) (*source, error) {
	for _, s := range list[1:] {
		if a, b := list[0], s; a.before.Drawing.Own != b.before.Drawing.Own {
			if !a.before.Drawing.Own {
				a, b = b, a
			}
			return nil, fmt.Errorf("%s is a corrected drawing and %s is none; lay out what both were made from, or correct %s first", a.m.path, b.m.path, b.m.path)
		}
		if s.m.j.Path != list[0].m.j.Path {
			return nil, fmt.Errorf("%s has a job file of its own, %s; name one for all with --job", s.m.path, s.m.j.Path)
		}
	}
	names, err := namesApart(list)
	if err != nil {
		return nil, err
	}
	first := list[0].m
	own := *first.j
	own.Answers = job.NewAnswers("")
	m := &mender{
		ctx: first.ctx, j: &own, o: o, banned: newSpots(again), made: newSpots(again), laying: true,
	}
	m.o.Corner, m.o.Spread = first.o.Corner, false
	var was, is []*drawing.Drawing
	var shift []geom.Point
	var from []float64
	x := 0.0
	var paths []string
	for i, s := range list {
		if err := s.m.guardMoved(s.res, s.res.Drawing, nil, true); err != nil {
			return nil, err
		}
		by := geom.Point{}
		b := s.before.Extents.Union(s.res.Extents)
		if i > 0 && b.Finite() {
			by = geom.Pt(x-b.Min.X, 0)
		}
		from = append(from, x-apart/2)
		if b.Finite() {
			x = b.Max.X + by.X + apart
		}
		was, is, shift = append(was, s.before.Drawing), append(is, s.res.Drawing), append(shift, by)
		paths = append(paths, s.m.path)
		m.take(s, names[i], by)
	}
	m.path = strings.Join(paths, ", ")
	before, err := m.together(drawing.Join(was, shift), list, names, shift, func(s *source) *lint.Result { return s.before })
	if err != nil {
		return nil, err
	}
	res, err := m.together(drawing.Join(is, shift), list, names, shift, func(s *source) *lint.Result { return s.res })
	if err != nil {
		return nil, err
	}
	m.o.Known, m.o.Told = lint.KnownParts(res), before.Findings
	m.guard = newGuard(res.Drawing, m.j, m.o)
	return &source{m: m, before: before, res: res, renamed: names, from: from}, nil
}

// take takes over what was done to one of several drawings.
func (m *mender) take(s *source, names map[string]string, by geom.Point) {
	move := func(list []fix.Edit) (out []fix.Edit) {
		for _, e := range list {
			e.At, e.Part, e.Ops = e.At.Add(by), renamed(names, e.Part), nil
			out = append(out, e)
		}
		return out
	}
	m.edits = append(m.edits, move(s.m.edits)...)
	m.undone = append(m.undone, move(s.m.undone)...)
	m.skipped = append(m.skipped, move(s.m.unmade())...)
	m.touched = append(m.touched, s.m.touched...)
	if s.m.j.Answers == nil {
		return
	}
	for _, p := range s.m.j.Answers.Parts {
		from := geom.Point{}
		if p.Corner != nil {
			from = s.before.Corner.Sub(*p.Corner)
		}
		p.Part, p.Corner = renamed(names, p.Part), nil
		p.Label, p.Tabs.At = slices.Clone(p.Label), slices.Clone(p.Tabs.At)
		for i := range p.Label {
			p.Label[i] = p.Label[i].Add(from).Add(by)
		}
		for i := range p.Tabs.At {
			p.Tabs.At[i] = p.Tabs.At[i].Add(from).Add(by)
		}
		m.j.Answers.SetPart(p)
	}
}

func renamed(names map[string]string, part string) string {
	if n, ok := names[part]; ok {
		return n
	}
	return part
}

// together judges drawings as one: the parts by the names they have, and what was found in
// each.
func (m *mender) together(d *drawing.Drawing, list []*source, names []map[string]string, shift []geom.Point, of func(*source) *lint.Result) (*lint.Result, error) {
	o := m.o.Options
	o.Rules, o.Known = nil, nil
	var found []lint.Finding
	for i, s := range list {
		r := of(s)
		for _, k := range lint.KnownParts(r) {
			o.Known = append(o.Known, lint.Named{Name: renamed(names[i], k.Name), At: k.At.Add(shift[i]), Area: k.Area})
		}
		for _, f := range r.Findings {
			f.At, f.Part, f.Fixes = f.At.Add(shift[i]), renamed(names[i], f.Part), nil
			if !f.Box.Empty() {
				f.Box = geom.Box{Min: f.Box.Min.Add(shift[i]), Max: f.Box.Max.Add(shift[i])}
			}
			found = append(found, f)
		}
	}
	r, err := lint.Judge(m.ctx, m.path, d, m.j, o)
	if err != nil {
		return nil, err
	}
	at := 0
	for i, s := range list {
		was := of(s)
		for k := range was.Sheet.Parts {
			if at+k >= len(r.Names) || r.Sheet.Parts[at+k].Centroid.Dist(was.Sheet.Parts[k].Centroid.Add(shift[i])) > 0.01 {
				continue
			}
			r.Names[at+k] = renamed(names[i], was.Names[k])
		}
		at += len(was.Sheet.Parts)
	}
	r.Findings = found
	lint.SortFindings(r.Findings)
	return r, nil
}

// namesApart returns the names that the parts of each of several drawings get together:
// those they have, with a letter before them where an earlier drawing has one of them.
func namesApart(list []*source) ([]map[string]string, error) {
	taken := map[string]bool{}
	var out []map[string]string
	letter := 'A'
	for i, s := range list {
		names := lint.PartsByName(s.res)
		for name := range lint.PartsByName(s.before) {
			names[name] = nil
		}
		clash := func(prefix string) bool {
			for name := range names {
				if taken[prefix+name] {
					return true
				}
			}
			return false
		}
		prefix := ""
		if i > 0 && clash("") {
			for {
				if letter++; letter > 'Z' {
					return nil, errors.New("the parts of so many drawings cannot be told apart by a letter; lay out fewer at once")
				}
				if prefix = string(letter); !clash(prefix) {
					break
				}
			}
		}
		own := map[string]string{}
		for name := range names {
			taken[prefix+name] = true
			if prefix != "" {
				own[name] = prefix + name
			}
		}
		out = append(out, own)
	}
	return out, nil
}
