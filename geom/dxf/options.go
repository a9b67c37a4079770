package dxf

import (
	"fmt"
	"strings"
)

// Options bound and steer reading. The zero value stands for the defaults,
// which are far above what honest drawings hold.
type Options struct {
	MaxEntities int // strokes, curves, texts and points in all; default 20 million
	MaxExpanded int // of these, made by block references, besides one for every 32 bytes of the file; default 250 000
	MaxVertices int // groups in one entity that carry a number; default 20 million
	MaxDepth    int // blocks within blocks; default 64
	MaxLine     int // bytes in one line; default 64 MiB
	MaxProblems int // problems kept of each code, the rest are only counted; default 1000

	// FlatTol is the height (drawing units) below which z and thickness count
	// as rounding noise of the writing program; default 1e-9.
	FlatTol float64

	// HatchOutlines reads the boundaries of fills (HATCH, SOLID, TRACE, 3DFACE)
	// as outlines.
	HatchOutlines bool

	// Show reports whether content is read that is not to be seen: on a layer that is
	// off or frozen, invisible, or in paper space. nil: none is.
	Show func(Hidden) bool
}

// Hidden is content that is not to be seen, by the type of its entity and its layer.
type Hidden struct{ Type, Layer string }

func (o Options) withDefaults() Options {
	def := func(v *int, d int) {
		if *v <= 0 {
			*v = d
		}
	}
	def(&o.MaxEntities, 20_000_000)
	def(&o.MaxExpanded, 250_000)
	def(&o.MaxVertices, 20_000_000)
	def(&o.MaxDepth, 64)
	def(&o.MaxLine, 64<<20)
	def(&o.MaxProblems, 1000)
	if !(o.FlatTol > 0) {
		o.FlatTol = 1e-9
	}
	return o
}

// Error is why a drawing could not be read, with the place in the file.
type Error struct {
	Line   int    // line of the file from 1 (in a binary file the group); 0 if the file as a whole is meant
	Entity string // type and handle of the entity concerned, "" if none
	Text   string // what is wrong and what to do
}

func (e *Error) Error() string {
	var b strings.Builder
	if e.Line > 0 {
		fmt.Fprintf(&b, "line %d: ", e.Line)
	}
	if e.Entity != "" {
		b.WriteString(e.Entity)
		b.WriteString(": ")
	}
	b.WriteString(e.Text)
	return b.String()
}
