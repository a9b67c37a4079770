package cache

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"maps"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
)

// An entry is kept in a plain binary form: reading it must cost little against
// judging a small drawing, and the standard encodings take twice as long. What is
// small and seldom changes shape is JSON at its head.
type entryHead struct {
	Account lint.Account
	Unit    drawing.Unit
	Counts  lint.Counts
	Stand   lint.Stand
}

// pack writes what is kept of a result, which has been shortened.
func pack(r *lint.Result) ([]byte, error) {
	c := &coder{}
	err := c.result(r)
	return c.b, err
}

// unpack reads what pack wrote.
func unpack(b []byte) (*lint.Result, error) {
	c := &coder{reading: true, b: b, s: string(b)}
	r := &lint.Result{Brief: &lint.Brief{}}
	err := c.result(r)
	if c.bad || c.at < len(b) {
		err = errors.Join(err, errors.New("not a sound entry"))
	}
	return r, err
}

// coder goes over the values of an entry, writing each, or reading it into its
// place. So what is written and what is read cannot differ.
type coder struct {
	reading bool
	b       []byte // written so far, or all there is to read
	s       string // the same, when reading: texts are pieces of it
	at      int    // how much was read
	bad     bool   // what is read is no entry
}

// result goes over all that is kept of a result. What a finding is about and how
// it can be repaired point into the drawing, which is let go.
func (c *coder) result(r *lint.Result) error {
	head := entryHead{r.Account, r.Brief.Unit, r.Brief.Counts, r.Brief.Stand}
	if err := c.json(&head); err != nil {
		return err
	}
	r.Account, r.Brief.Unit, r.Brief.Counts, r.Brief.Stand = head.Account, head.Unit, head.Counts, head.Stand
	c.box(&r.Extents)
	list(c, &r.Accepted, c.int)
	list(c, &r.Findings, c.finding)
	ids := slices.Sorted(maps.Keys(r.Brief.Places))
	list(c, &ids, c.text)
	if c.reading {
		r.Brief.Places = make(map[string]lint.Place, len(ids))
	}
	for _, id := range ids {
		p := r.Brief.Places[id]
		c.int(&p.Line)
		list(c, &p.Fixes, func(f *lint.TextFix) {
			c.text(&f.Note)
			list(c, &f.Lines, func(l *lint.Lines) {
				c.int(&l.From)
				c.int(&l.To)
			})
		})
		r.Brief.Places[id] = p
	}
	return nil
}

func (c *coder) finding(f *lint.Finding) {
	severity, repair := int(f.Severity), string(f.Repair)
	c.bool(&f.Fact.Says)
	c.bool(&f.Fact.Whole)
	for _, s := range []*string{&f.Rule, &f.Message, &f.Fact.One, &f.Fact.Many, &f.Fact.Why, &f.Layer, &f.Part, &repair, &f.ID} {
		c.text(s)
	}
	c.int(&severity)
	c.bad = c.bad || severity < 0 || severity > int(lint.Error)
	f.Severity, f.Repair = lint.Severity(severity), lint.Repair(repair)
	c.point(&f.At)
	c.box(&f.Box)
	list(c, &f.Entities, c.text)
	c.text(&f.Answer)
	c.text(&f.AnswerNote)
	c.text(&f.Key)
	list(c, &f.Choices, func(w *lint.Way) {
		c.text(&w.Name)
		c.text(&w.Words)
		c.real(&w.Moves)
		c.bool(&w.Default)
	})
	measured := 0
	if f.Measure != nil {
		measured = 1
	}
	if c.int(&measured); measured != 1 {
		return
	}
	if c.reading {
		f.Measure = &lint.Measure{}
	}
	c.text(&f.Measure.Name)
	c.real(&f.Measure.Value)
	c.real(&f.Measure.Limit)
	c.text(&f.Measure.Unit)
}

func (c *coder) int(v *int) {
	if !c.reading {
		c.b = binary.AppendVarint(c.b, int64(*v))
		return
	}
	n, k := binary.Varint(c.b[c.at:])
	if k <= 0 || n > math.MaxInt32 || n < math.MinInt32 {
		c.spoil()
		n, k = 0, 0
	}
	*v = int(n)
	c.at += k
}

func (c *coder) bool(v *bool) {
	n := 0
	if *v {
		n = 1
	}
	c.int(&n)
	*v = n == 1
}

// spoil gives up reading: all that follows is zero.
func (c *coder) spoil() { c.bad, c.at = true, len(c.b) }

// count goes over the length of a text or list, whose members take at least one
// byte each.
func (c *coder) count(n int) int {
	if c.int(&n); c.reading && (n < 0 || n > len(c.b)-c.at) {
		c.spoil()
		return 0
	}
	return n
}

func (c *coder) text(s *string) {
	n := c.count(len(*s))
	if !c.reading {
		c.b = append(c.b, *s...)
		return
	}
	*s = c.s[c.at : c.at+n]
	c.at += n
}

func (c *coder) real(v *float64) {
	switch {
	case !c.reading:
		c.b = binary.LittleEndian.AppendUint64(c.b, math.Float64bits(*v))
	case len(c.b)-c.at < 8:
		c.spoil()
	default:
		*v = math.Float64frombits(binary.LittleEndian.Uint64(c.b[c.at:]))
		c.at += 8
	}
}

func (c *coder) point(p *geom.Point) {
	c.real(&p.X)
	c.real(&p.Y)
}

func (c *coder) box(b *geom.Box) {
	c.point(&b.Min)
	c.point(&b.Max)
}

func (c *coder) json(v any) error {
	var text string
	if !c.reading {
		b, err := json.Marshal(v)
		if err != nil {
			return err
		}
		text = string(b)
	}
	if c.text(&text); c.reading {
		return json.Unmarshal([]byte(text), v)
	}
	return nil
}

// list goes over a list, each member in turn.
func list[T any](c *coder, l *[]T, each func(*T)) {
	n := c.count(len(*l))
	if c.reading && n > 0 {
		*l = make([]T, n)
	}
	for i := range *l {
		each(&(*l)[i])
	}
}
