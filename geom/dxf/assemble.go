package dxf

import "slices"

// assembler gathers groups into records, and VERTEX and ATTRIB records into
// the POLYLINE or INSERT they belong to. Its two records are used over and
// over; emit must copy what it keeps.
type assembler struct {
	rd     *reader
	cur    *record // being filled; nil outside
	parent *record // POLYLINE or INSERT that may still get children; nil if none
	spare  []*record
	emit   func(*record) error
}

func (a *assembler) take() *record {
	if n := len(a.spare); n > 0 {
		r := a.spare[n-1]
		a.spare = a.spare[:n-1]
		r.reset()
		return r
	}
	r := new(record)
	r.reset()
	return r
}

// begin ends the record at hand and starts the next.
func (a *assembler) begin(typ typeName, line int) error {
	if err := a.finish(); err != nil {
		return err
	}
	k := typ.kind
	if p := a.parent; p != nil {
		if k != &seqendType && k != p.kind.child {
			if p.kind.seqend {
				if err := a.rd.problem("missing-seqend", int(p.line), false, "a POLYLINE without SEQEND"); err != nil {
					return err
				}
			}
			if err := a.release(); err != nil {
				return err
			}
		}
	}
	a.cur = a.take()
	a.cur.typ, a.cur.kind, a.cur.line = typ.name, k, int32(line)
	return nil
}

// finish ends the record at hand.
func (a *assembler) finish() error {
	c := a.cur
	if c == nil {
		return nil
	}
	a.cur = nil
	p := a.parent
	switch {
	case p != nil && c.kind == p.kind.child:
		return p.kind.adopt(a, p, c)
	case c.kind == &seqendType:
		a.spare = append(a.spare, c)
		if p == nil {
			return nil // one end mark too many does no harm
		}
		return a.release()
	case c.kind.child != nil:
		a.parent = c
		return nil
	}
	err := a.emit(c)
	a.spare = append(a.spare, c)
	return err
}

// release hands on the parent with its children.
func (a *assembler) release() error {
	p := a.parent
	a.parent = nil
	if p == nil {
		return nil
	}
	err := a.emit(p)
	a.spare = append(a.spare, p)
	return err
}

// end hands on all that is pending, at the end of a section or block.
func (a *assembler) end() error {
	if err := a.finish(); err != nil {
		return err
	}
	return a.release()
}

// cut hands on what is pending at the end of a file that has no end mark, and
// drops the last record if it is not whole. It returns the record dropped.
func (a *assembler) cut(sure bool) (dropped *record, err error) {
	if a.rd.src.state().between {
		if err := a.finish(); err != nil {
			return nil, err
		}
	}
	if c := a.cur; c != nil {
		inner := a.parent != nil && c.kind == a.parent.kind.child
		closes := a.parent != nil && c.kind == &seqendType
		if !closes && (inner || !sure || !c.whole()) {
			a.cur = nil
			if inner {
				p := a.parent
				a.parent = nil
				return p, nil
			}
			return c, a.release()
		}
		return nil, a.end()
	}
	if p := a.parent; p != nil && p.kind.seqend {
		a.parent = nil
		return p, nil
	}
	return nil, a.release()
}

// add puts one group into the record at hand.
func (a *assembler) add(g *group) error {
	r := a.cur
	if r == nil || r.skip {
		return nil
	}
	code := int32(g.code)
	switch {
	case isNumber(code) || r.kind == &entryType && code == 290:
		return a.addNumber(r, g)
	case code == 5 || code == 105:
		if r.handle == 0 {
			r.handle = parseHandle(g.val)
		}
	case code == 8:
		r.layer = a.rd.layerOf(g.val)
	case code == 101:
		r.skip = true // "Embedded Object": its groups are not the entity's
	case slices.Contains(r.kind.texts, code):
		r.texts = append(r.texts, text{code, a.rd.decode(g.val)})
	}
	return nil
}

// isNumber reports whether a group of an entity is a number that may count.
// Extended data (from 1000 on) are other programs'.
func isNumber(code int32) bool { return code >= 10 && code < 100 || code >= 210 && code < 240 }

func (a *assembler) addNumber(r *record, g *group) error {
	switch g.code {
	case 62:
		if v, ok := g.int(); ok {
			r.color = int32(v)
		}
		if r.kind != &entryType {
			return nil
		}
	case 60:
		v, _ := g.int()
		r.invisible = v == 1
		return nil
	case 66:
		v, _ := g.int()
		r.children = v != 0
		return nil
	case 67:
		v, _ := g.int()
		r.paper = v == 1
		return nil
	}
	if r.kind.leftOut() && g.code != 10 && g.code != 20 {
		return nil
	}
	v, st := g.float()
	if st != numberOK {
		if st == numberBad {
			if r.broken == "" && !r.kind.leftOut() && matters(g.code) {
				r.brokenCode = "bad-number"
				r.broken, r.brokenAt = "group "+itoa(g.code)+" is no number: "+quote(g.val), g.line
			}
			return nil
		}
		if err := a.rd.commas.met(a.rd, g, v); err != nil {
			return err
		}
	}
	if len(r.nums) >= a.rd.o.MaxVertices {
		return a.rd.tooMany(r, "groups", a.rd.o.MaxVertices)
	}
	r.extruded = r.extruded || g.code >= 210 && g.code < 240
	r.keep(number{int32(g.code), v})
	return nil
}

// matters reports whether a bad number under the code spoils the outline: all
// but line type scale, elevation order and the like.
func matters(code int) bool {
	return code < 48 || code == 50 || code == 51 || code >= 70 && code < 80 || code >= 90 && code < 100 || code >= 210
}
