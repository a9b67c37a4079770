package dxf

import (
	"fmt"
	"strings"

	"sluice/geom/drawing"
)

// An INSERT draws a block. The ATTRIB entities that may follow it end with
// SEQEND.
var insertType = entityType{
	names: []string{"INSERT"}, needs: []int32{10, 20}, texts: []int32{2},
	draw: (*reader).insert, refers: true,
	child: &attribType, adopt: (*assembler).addAttrib,
}

// addAttrib takes an ATTRIB into its INSERT.
func (a *assembler) addAttrib(p, c *record) error {
	if len(p.kids) >= a.rd.o.MaxVertices {
		return a.rd.tooMany(p, "attributes", a.rd.o.MaxVertices)
	}
	p.kids = append(p.kids, c)
	return nil
}

// block is a block definition.
type block struct {
	name     string
	base     point3
	external string // file of an external reference
	recs     []*record
	line     int32

	cost    float64 // pieces one reference draws, 0 if not counted yet
	height  int     // blocks within it, itself counted
	visited bool    // being counted
}

func blockKey(name string) string { return strings.ToLower(name) }

// blockRecord takes one record of the blocks section.
func (rd *reader) blockRecord(r *record) error {
	switch r.kind {
	case &blockType:
		b := &block{name: r.text(2), base: r.point(10), line: r.line}
		if r.flags(70)&(4|8) != 0 {
			b.external = r.text(1)
			if b.external == "" {
				b.external = b.name
			}
		}
		rd.block = b
		key := blockKey(b.name)
		if rd.blocks[key] != nil {
			return rd.problem("block-twice", int(r.line), false, "block "+quote([]byte(b.name))+" is defined twice: the first counts")
		}
		rd.blocks[key] = b
	case &endblkType:
		rd.block = nil
	default:
		if rd.block != nil {
			rd.block.recs = append(rd.block.recs, r.clone())
		}
	}
	return nil
}

// insert draws what a block reference refers to: p is mapped to
// OCS(insertion point + array step turned + turn(scale(p - base))).
func (rd *reader) insert(r *record, e *env) error {
	name := r.text(2)
	b := rd.blocks[blockKey(name)]
	switch {
	case b == nil:
		rd.tell(drawing.Unread, e, r, "INSERT of a missing block "+quote([]byte(name)))
		if rd.missing[blockKey(name)] {
			return nil
		}
		rd.missing[blockKey(name)] = true
		return rd.problemOf("missing-block", int(r.line), e.ent, true, "block "+quote([]byte(name))+" is not in the file")
	case b.external != "":
		rd.tell(drawing.Unread, e, r, "INSERT of an external drawing "+quote([]byte(b.external))+": bind it before export")
		return nil
	}
	cols, rows := float64(max(1, r.flags(70))), float64(max(1, r.flags(71)))
	if !e.nested {
		// Everything within is counted before anything is drawn.
		n, err := rd.cost(b, 1)
		if err != nil {
			return err
		}
		n = cols * rows * (1 + n)
		bound := rd.o.MaxExpanded + int(*rd.growth.read/32)
		if n+float64(rd.expanded) > float64(bound) {
			return &Error{Line: int(r.line), Entity: rd.entityName(e.ent), Text: fmt.Sprintf("block %s drawn %g times makes %.3g pieces, more than %d: explode or split the drawing", quote([]byte(name)), cols*rows, n, bound)}
		}
		rd.expanded += int(n)
	}
	at := r.point(10)
	noted := rd.told.flat.n
	rd.notFlat(r, at.z)
	rd.told.flat.whole = rd.told.flat.whole || rd.told.flat.n > noted
	base := e.insertFrame(r, at)
	sin, cos := sincosDeg(r.num(50, 0))
	sx, sy, sz := scaleOf(r, 41), scaleOf(r, 42), scaleOf(r, 43)
	local := frame{
		ax: point3{cos * sx, sin * sx, 0}, ay: point3{-sin * sy, cos * sy, 0}, az: point3{0, 0, sz},
	}
	sub := env{ent: e.ent, nested: true, depth: e.depth + 1, parentLayer: e.layer, parentColor: e.color}
	dx, dy := r.num(44, 0), r.num(45, 0)
	origin := local.dir(b.base).mul(-1)
	for row := range int(rows) {
		for col := range int(cols) {
			x, y := float64(col)*dx, float64(row)*dy
			local.o = origin.add(point3{cos*x - sin*y, sin*x + cos*y, 0})
			sub.frame = base.of(&local)
			for _, c := range b.recs {
				inner := sub
				if err := rd.convert(c, &inner); err != nil {
					return err
				}
			}
			if err := rd.ctx.Err(); err != nil {
				return err
			}
		}
	}
	for _, k := range r.kids {
		inner := *e
		if err := rd.convert(k, &inner); err != nil {
			return err
		}
	}
	return nil
}

// insertFrame returns the map from the object coordinates about the insertion
// point to the drawing.
func (e *env) insertFrame(r *record, at point3) frame {
	f := world
	if n, turned := r.extrusion(); turned {
		f = objectFrame(n)
	}
	f.o = f.dir(at)
	if e.nested {
		return e.frame.of(&f)
	}
	return f
}

// scaleOf returns a scale factor; 0, which no program means, counts as 1.
func scaleOf(r *record, code int32) float64 {
	s := r.num(code, 1)
	if s == 0 {
		return 1
	}
	return s
}

// cost counts the pieces that one reference to b draws, and fails where blocks
// contain themselves or lie too deep.
func (rd *reader) cost(b *block, depth int) (float64, error) {
	if b.visited {
		return 0, &Error{Line: int(b.line), Entity: "BLOCK " + quote([]byte(b.name)), Text: "the block contains itself: take the reference out"}
	}
	if depth > rd.o.MaxDepth || depth+b.height-1 > rd.o.MaxDepth {
		return 0, &Error{Line: int(b.line), Entity: "BLOCK " + quote([]byte(b.name)), Text: fmt.Sprintf("blocks lie more than %d deep in each other: explode the drawing", rd.o.MaxDepth)}
	}
	if b.cost > 0 {
		return b.cost, nil
	}
	b.visited = true
	total, height := 1.0, 1
	for _, r := range b.recs {
		n := 1 + float64(len(r.verts)+len(r.kids)) + float64(len(r.nums))/8
		for i := range r.texts {
			n += float64(len(r.texts[i].s)) / 32
		}
		if c := rd.blocks[blockKey(r.text(2))]; r.kind.refers && c != nil && c.external == "" {
			one, err := rd.cost(c, depth+1)
			if err != nil {
				return 0, err
			}
			n += float64(max(1, r.flags(70))) * float64(max(1, r.flags(71))) * (1 + one)
			height = max(height, 1+c.height)
		}
		total += n
	}
	b.visited = false
	b.cost, b.height = total, height
	return total, nil
}
