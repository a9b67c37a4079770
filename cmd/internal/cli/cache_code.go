package cli

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"maps"
	"math"
	"slices"

	"sluice/geom"
	geodrawing "sluice/geom/drawing"
	"sluice/lint"
)

// An entry is kept in a plain binary form: reading it must cost little against
// judging a small drawing. What is small and seldom changes shape is JSON at its
// head.
type entryHead struct {
	Account lint.Account
	Unit    geodrawing.Unit
	Counts  lint.Counts
}

type packer struct{ b []byte }

func (p *packer) n(v int) { p.b = binary.AppendVarint(p.b, int64(v)) }

func (p *packer) text(s string) {
	p.n(len(s))
	p.b = append(p.b, s...)
}

func (p *packer) real(v float64) { p.b = binary.LittleEndian.AppendUint64(p.b, math.Float64bits(v)) }

func (p *packer) point(q geom.Point) {
	p.real(q.X)
	p.real(q.Y)
}

// pack writes what is kept of a result, which has been shortened.
func pack(r *lint.Result) ([]byte, error) {
	head, err := json.Marshal(entryHead{r.Account, r.Brief.Unit, r.Brief.Counts})
	if err != nil {
		return nil, err
	}
	p := &packer{}
	p.text(string(head))
	p.point(r.Extents.Min)
	p.point(r.Extents.Max)
	p.n(len(r.Accepted))
	for _, n := range r.Accepted {
		p.n(n)
	}
	p.n(len(r.Findings))
	for i := range r.Findings {
		f := &r.Findings[i]
		for _, s := range []string{f.Rule, f.Message, f.Layer, f.Part, string(f.Repair), f.ID} {
			p.text(s)
		}
		p.n(int(f.Severity))
		p.point(f.At)
		p.point(f.Box.Min)
		p.point(f.Box.Max)
		p.n(len(f.Entities))
		for _, e := range f.Entities {
			p.text(e)
		}
		if f.Measure == nil {
			p.n(0)
			continue
		}
		p.n(1)
		p.text(f.Measure.Name)
		p.real(f.Measure.Value)
		p.real(f.Measure.Limit)
		p.text(f.Measure.Unit)
	}
	p.n(len(r.Brief.Places))
	for _, id := range slices.Sorted(maps.Keys(r.Brief.Places)) {
		at := r.Brief.Places[id]
		p.text(id)
		p.n(at.Line)
		p.n(len(at.Fixes))
		for _, f := range at.Fixes {
			p.text(f.Note)
			p.n(len(f.Lines))
			for _, l := range f.Lines {
				p.n(l.From)
				p.n(l.To)
			}
		}
	}
	return p.b, nil
}

// errEntry tells of an entry that is not sound.
var errEntry = errors.New("not a sound entry")

type unpacker struct {
	b   []byte
	bad bool
}

func (u *unpacker) n() int {
	v, k := binary.Varint(u.b)
	if k <= 0 || v > math.MaxInt32 || v < math.MinInt32 {
		u.bad, u.b = true, nil
		return 0
	}
	u.b = u.b[k:]
	return int(v)
}

// count reads the length of a list whose members take at least one byte each.
func (u *unpacker) count() int {
	n := u.n()
	if n < 0 || n > len(u.b) {
		u.bad, u.b = true, nil
		return 0
	}
	return n
}

func (u *unpacker) text() string {
	n := u.count()
	s := string(u.b[:n])
	u.b = u.b[n:]
	return s
}

func (u *unpacker) real() float64 {
	if len(u.b) < 8 {
		u.bad, u.b = true, nil
		return 0
	}
	v := math.Float64frombits(binary.LittleEndian.Uint64(u.b))
	u.b = u.b[8:]
	return v
}

func (u *unpacker) point() geom.Point {
	x := u.real()
	return geom.Point{X: x, Y: u.real()}
}

// unpack reads what pack wrote.
func unpack(b []byte) (*lint.Result, error) {
	u := &unpacker{b: b}
	var head entryHead
	if err := json.Unmarshal([]byte(u.text()), &head); err != nil {
		return nil, errEntry
	}
	r := &lint.Result{Account: head.Account, Brief: &lint.Brief{Unit: head.Unit, Counts: head.Counts}}
	r.Extents.Min, r.Extents.Max = u.point(), u.point()
	for range u.count() {
		r.Accepted = append(r.Accepted, u.n())
	}
	n := u.count()
	r.Findings = make([]lint.Finding, 0, n)
	for range n {
		var f lint.Finding
		f.Rule, f.Message, f.Layer, f.Part = u.text(), u.text(), u.text(), u.text()
		f.Repair, f.ID = lint.Repair(u.text()), u.text()
		f.Severity = lint.Severity(u.n())
		f.At, f.Box.Min, f.Box.Max = u.point(), u.point(), u.point()
		for range u.count() {
			f.Entities = append(f.Entities, u.text())
		}
		if u.n() == 1 {
			f.Measure = &lint.Measure{Name: u.text(), Value: u.real(), Limit: u.real(), Unit: u.text()}
		}
		r.Findings = append(r.Findings, f)
	}
	n = u.count()
	r.Brief.Places = make(map[string]lint.Place, n)
	for range n {
		id := u.text()
		at := lint.Place{Line: u.n()}
		for range u.count() {
			f := lint.TextFix{Note: u.text()}
			for range u.count() {
				f.Lines = append(f.Lines, lint.Lines{From: u.n(), To: u.n()})
			}
			at.Fixes = append(at.Fixes, f)
		}
		r.Brief.Places[id] = at
	}
	if u.bad || len(u.b) > 0 {
		return nil, errEntry
	}
	return r, nil
}
