package outline

import (
	"slices"
	"sync"

	"sluice/geom"
	"sluice/geom/drawing"
)

// chosen is the first stage: what is drawn, by what it is for.
type chosen struct {
	o       Options
	strokes []drawing.Stroke
	act     []strokeID // by piece: its stroke
	tab     []bool     // by piece: left uncut
	etch    []strokeID
	noted   []strokeID // put aside
	strays  []Stray    // of no length

	// curves names by stroke the first stroke of its curve: of those that one
	// entity draws end to end.
	curves func() []strokeID
}

// choose parts strokes by their roles. Pieces are what is to be cut, or left as a
// tab, and has a length.
func choose(strokes []drawing.Stroke, role func(*drawing.Stroke) Role, o Options) *chosen {
	c := &chosen{o: o, strokes: strokes}
	c.curves = sync.OnceValue(c.findCurves)
	for i := range strokes {
		s := &strokes[i]
		switch r := role(s); r {
		case Cut, Tab:
			if s.Length() <= o.Join {
				c.strays = append(c.strays, Stray{Stroke: int32(i), At: s.A, Length: s.Length()})
				continue
			}
			c.act = append(c.act, strokeID(i))
			c.tab = append(c.tab, r == Tab)
		case Etch:
			c.etch = append(c.etch, strokeID(i))
		case Noted:
			c.noted = append(c.noted, strokeID(i))
		}
	}
	return c
}

// piece returns piece i.
func (c *chosen) piece(i pieceID) *geom.Piece { return &c.strokes[c.act[i]].Piece }

func (c *chosen) findCurves() []strokeID {
	of := make([]strokeID, len(c.strokes))
	for i := range c.strokes {
		of[i] = strokeID(i)
		if s := &c.strokes[i]; i > 0 && s.Entity >= 0 && s.Entity == c.strokes[i-1].Entity && s.A.Dist(c.strokes[i-1].B) <= c.o.Join {
			of[i] = of[i-1]
		}
	}
	return of
}

// drawnClosed reports whether some of a path was drawn as a piece of a closed
// curve: what is closed is no mark, even where other outlines leave only some of
// it.
func (c *chosen) drawnClosed(p *Path) bool {
	for _, s := range p.Src {
		if s >= 0 && c.strokes[s].Ring {
			return true
		}
	}
	return false
}

// settled reports whether all that is drawn of a path was decided before.
func (c *chosen) settled(p *Path) bool { return c.allAs(p, drawing.AsSettled) }

// meantCut reports whether a person has decided that all of a path is cut, but for its
// tabs.
func (c *chosen) meantCut(p *Path) bool {
	return len(p.Src) > 0 && c.allAs(p, drawing.AsCut, drawing.AsTab) && !c.allAs(p, drawing.AsTab)
}

func (c *chosen) allAs(p *Path, as ...drawing.As) bool {
	for _, s := range p.Src {
		if s >= 0 && !slices.Contains(as, c.strokes[s].As) {
			return false
		}
	}
	return true
}
