package dxf

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"sluice/geom"
	"sluice/geom/drawing"
)

// reader holds one run over a file.
type reader struct {
	ctx    context.Context
	o      Options
	strict bool
	src    feed
	groups []group // read, and not looked at yet
	d      *drawing.Drawing
	text   decoder
	asm    assembler
	names  map[string]typeName // by name as in the file, each kept once

	layers  map[string]int32 // by name in lower case
	rawName map[string]int32 // by name as in the file
	zero    int32            // layer "0"
	last    []byte           // the name met last, as in the file, and its layer
	lastNo  int32
	outer   env // where the entity at hand is drawn

	blocks       map[string]*block
	missing      map[string]bool // blocks referred to but not there, told
	block        *block          // being read
	deferred     []pendingRecord // INSERTs of blocks not met yet
	paper        []pendingRecord
	lateTables   bool // layers were told after entities
	seen         int  // groups, for the context
	made         int  // strokes and the like
	expanded     int  // of these, by block references
	places       int32
	problemSeen  map[string]int
	problemTotal int
	commas       commas
	told         told
	growth       growth
	at           position
}

// pendingRecord is an entity converted when the whole file is known.
type pendingRecord struct {
	ent int32
	rec *record
}

func newReader(ctx context.Context, o Options, strict bool) *reader {
	rd := &reader{
		ctx: ctx, o: o, strict: strict,
		d:           &drawing.Drawing{InsUnits: -1, Measurement: -1},
		names:       map[string]typeName{},
		layers:      map[string]int32{},
		rawName:     map[string]int32{},
		zero:        -1,
		blocks:      map[string]*block{},
		missing:     map[string]bool{},
		problemSeen: map[string]int{},
		told:        told{flat: newRemark(nil), wide: newRemark(nil)},
	}
	rd.asm.rd = rd
	return rd
}

// problem tells of something met and survived; in a strict run it is an error.
func (rd *reader) problem(code string, line int, lost bool, text string) error {
	return rd.problemOf(code, line, -1, lost, text)
}

func (rd *reader) problemOf(code string, line int, ent int32, lost bool, text string) error {
	if rd.strict {
		return &Error{Line: line, Entity: rd.entityName(ent), Text: text}
	}
	rd.problemSeen[code]++
	rd.problemTotal++
	if n := rd.problemSeen[code]; n > rd.o.MaxProblems {
		return nil
	}
	rd.d.Problems = append(rd.d.Problems, drawing.Problem{Code: code, Line: line, Entity: ent, Lost: lost, Text: text})
	return nil
}

// entityName names entity i in errors.
func (rd *reader) entityName(i int32) string {
	if i < 0 || int(i) >= len(rd.d.Entities) {
		return ""
	}
	e := &rd.d.Entities[i]
	return e.Type + " " + e.ID()
}

func (rd *reader) tooMany(r *record, what string, bound int) error {
	return &Error{Line: int(r.line), Entity: r.name(), Text: fmt.Sprintf("more than %d %s: split the drawing", bound, what)}
}

// name names a record in errors.
func (r *record) name() string {
	if r.handle != 0 {
		return r.typ + " " + strings.ToUpper(strconv.FormatUint(r.handle, 16))
	}
	return r.typ
}

// layerOf returns the index of the layer named in the file, adding it if it is
// new.
func (rd *reader) layerOf(raw []byte) int32 {
	if rd.last != nil && bytes.Equal(raw, rd.last) {
		return rd.lastNo
	}
	i, ok := rd.rawName[string(raw)]
	if !ok {
		i = rd.layerNamed(rd.decode(raw))
		rd.rawName[string(raw)] = i
	}
	rd.last, rd.lastNo = append(rd.last[:0], raw...), i
	return i
}

func (rd *reader) layerNamed(name string) int32 {
	key := strings.ToLower(name) // names of layers have no case
	i, ok := rd.layers[key]
	if !ok {
		i = int32(len(rd.d.Layers))
		rd.d.Layers = append(rd.d.Layers, drawing.Layer{Name: name, NoPlot: key == "defpoints"})
		rd.layers[key] = i
		if key == "0" {
			rd.zero = i
		}
	}
	return i
}

// layerZero returns the layer of entities that name none.
func (rd *reader) layerZero() int32 {
	if rd.zero < 0 {
		rd.zero = rd.layerNamed("0")
	}
	return rd.zero
}

func (rd *reader) decode(raw []byte) string { return rd.text.decode(raw) }

// typeName is the upper-case name of an entity or section, and what is known of entities
// of that name.
type typeName struct {
	name string
	kind *entityType
}

func (rd *reader) typeName(raw []byte) typeName {
	if t, ok := rd.names[string(raw)]; ok {
		return t
	}
	s := strings.ToUpper(strings.ToValidUTF8(string(raw[:min(len(raw), 64)]), "?"))
	s = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return '?'
	}, s)
	if s == "" {
		s = "UNNAMED"
	}
	t := typeName{s, typeNamed(s)}
	if len(rd.names) < 4096 {
		rd.names[string(raw)] = t
	}
	return t
}

// next returns the next group, good until that after it is asked for, and looks at the
// context now and then; nil at the end.
func (rd *reader) next() (*group, error) {
	if len(rd.groups) == 0 {
		if rd.groups = rd.src.more(); len(rd.groups) == 0 {
			return nil, nil
		}
	}
	rd.seen++
	if rd.seen&0xfff == 0 {
		if err := rd.ctx.Err(); err != nil {
			return nil, err
		}
	}
	g := &rd.groups[0]
	rd.groups = rd.groups[1:]
	return g, nil
}

// count books n things made, by block references or not.
func (rd *reader) count(e *env, n int) error {
	rd.made += n
	if rd.made > rd.o.MaxEntities {
		return &Error{Line: int(rd.d.Entities[e.ent].Line), Entity: rd.entityName(e.ent), Text: fmt.Sprintf("the drawing holds more than %d lines and arcs: split it", rd.o.MaxEntities)}
	}
	return nil
}

func (rd *reader) notice(k drawing.NoticeKind, ent, layer int32, at geom.Point, box geom.Box, text string) {
	rd.d.Notices = append(rd.d.Notices, drawing.Notice{Kind: k, Entity: ent, Layer: layer, At: at, Box: box, Text: text})
}

func itoa(v int) string { return strconv.Itoa(v) }

func ftoa(v float64) string {
	if v == math.Trunc(v) && abs(v) < 1e15 {
		return strconv.FormatFloat(v+0, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', 10, 64)
}

// quote shows a piece of the file in a message.
func quote(b []byte) string {
	const most = 40
	if len(b) > most {
		b = b[:most]
	}
	return strconv.QuoteToASCII(string(b))
}
