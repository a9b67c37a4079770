package dxf

import (
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
)

// told gathers what is to be told of the entity at hand, so that a block
// reference to thousands of pieces tells each thing once.
type told struct {
	flat, wide remark
	notices    map[noticeKey]bool
	spoiled    bool // a coordinate was out of bounds
}

// reset begins with another entity.
func (t *told) reset() {
	t.flat.reset()
	t.wide.reset()
	t.spoiled = false
	if len(t.notices) > 0 {
		clear(t.notices)
	}
}

// remark is something to tell of the entity at hand, and where on it.
type remark struct {
	texts []string
	n     int        // how often it was made
	whole bool       // of the block reference itself
	drawn bool       // at and box are set
	at    geom.Point // start of the first piece it is about
	box   geom.Box
}

func (m *remark) reset() {
	if m.n > 0 { // else nothing was noted since
		*m = newRemark(m.texts[:0])
	}
}

func newRemark(room []string) remark { return remark{texts: room, box: geom.NoBox()} }

// about adds the pieces that the remark is about: those from the given ones on.
func (m *remark) about(d *drawing.Drawing, stroke, curve int) {
	if stroke < len(d.Strokes) && !m.drawn {
		m.at, m.drawn = d.Strokes[stroke].A, true
	}
	for i := stroke; i < len(d.Strokes); i++ {
		m.box = m.box.Union(d.Strokes[i].Box())
	}
	for i := curve; i < len(d.Curves); i++ {
		m.box = m.box.Union(d.Curves[i].Box())
	}
	if !m.drawn && !m.box.Empty() {
		m.at, m.drawn = m.box.Center(), true
	}
}

type noticeKey struct {
	kind  drawing.NoticeKind
	layer int32
	text  string
}

// note adds a text to a list unless it is there, and keeps the list short.
func (rd *reader) note(m *remark, s string) {
	m.n++
	if len(m.texts) < 3 && !slices.Contains(m.texts, s) {
		m.texts = append(m.texts, s)
	}
}
