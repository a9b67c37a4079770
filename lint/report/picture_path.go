package report

import (
	"math"
	"strconv"

	"sluice/geom"
)

// pathData builds the d attribute of an SVG path from pieces. SVG counts y
// downwards and browsers keep coordinates in single precision, so places are
// written relative to an origin at the upper left of the drawing.
type pathData struct {
	buf    []byte
	origin geom.Point // upper left, mm
	at     geom.Point // where the pen is, rounded as written
	down   bool
	pieces int // written since the last reset
}

// svgDecimals is the number of decimals of coordinates: a tenth of a micrometre.
const svgDecimals = 4

func (d *pathData) reset() {
	d.buf, d.down, d.pieces = d.buf[:0], false, 0
}

// local turns a place on the sheet into picture coordinates, rounded as written.
func (d *pathData) local(p geom.Point) geom.Point {
	return geom.Pt(roundTo(p.X-d.origin.X), roundTo(d.origin.Y-p.Y))
}

func roundTo(v float64) float64 {
	const f = 1e4 // 10^svgDecimals
	if math.Abs(v) < 1e11 {
		v = math.Round(v*f) / f
	}
	return v
}

func (d *pathData) number(v float64) {
	d.buf = appendSVGNumber(d.buf, v)
}

// appendSVGNumber appends v with at most svgDecimals decimals.
func appendSVGNumber(b []byte, v float64) []byte {
	start := len(b)
	b = strconv.AppendFloat(b, v, 'f', svgDecimals, 64)
	for b[len(b)-1] == '0' {
		b = b[:len(b)-1]
	}
	if b[len(b)-1] == '.' {
		b = b[:len(b)-1]
	}
	if string(b[start:]) == "-0" {
		b = append(b[:start], '0')
	}
	return b
}

func (d *pathData) command(c byte, p geom.Point) {
	d.buf = append(d.buf, c)
	d.number(p.X)
	d.buf = append(d.buf, ' ')
	d.number(p.Y)
	d.at, d.down = p, true
}

// add appends a piece, lifting the pen only where it does not start where the
// last one ended. Pieces with coordinates that are not finite are left out.
func (d *pathData) add(p *geom.Piece) {
	if !p.A.Finite() || !p.B.Finite() || p.R > 0 && (!p.C.Finite() || math.IsInf(p.R, 0)) || math.IsNaN(p.R) || math.IsNaN(p.Sweep) {
		return
	}
	d.pieces++
	if a := d.local(p.A); !d.down || a != d.at {
		d.command('M', a)
	}
	if p.R == 0 {
		d.command('L', d.local(p.B))
		return
	}
	// An arc command is told by its ends, so arcs near a full turn are cut up:
	// no part turns through more than three quarters of a half turn.
	n := max(1, int(math.Ceil(math.Abs(p.Sweep)/(0.75*math.Pi))))
	n = min(n, 4)
	for i := 1; i <= n; i++ {
		to := p.B
		if i < n {
			to = p.At(float64(i) / float64(n))
		}
		d.arcTo(d.local(to), p.R, p.Sweep/float64(n))
	}
}

func (d *pathData) arcTo(to geom.Point, r, sweep float64) {
	if sagitta := r * (1 - math.Cos(sweep/2)); sagitta < 5e-5 {
		d.command('L', to)
		return
	}
	d.buf = append(d.buf, 'A')
	d.number(r)
	d.buf = append(d.buf, ' ')
	d.number(r)
	// Counter-clockwise on the sheet is SVG's negative sense once y points down.
	if sweep > 0 {
		d.buf = append(d.buf, " 0 0 0 "...)
	} else {
		d.buf = append(d.buf, " 0 0 1 "...)
	}
	d.number(to.X)
	d.buf = append(d.buf, ' ')
	d.number(to.Y)
	d.at = to
}

// dot appends a run of no length, which a round or square line end turns into
// a dot of constant size on the screen.
func (d *pathData) dot(p geom.Point) {
	if !p.Finite() {
		return
	}
	d.pieces++
	d.command('M', d.local(p))
	d.buf = append(d.buf, 'h', '0')
}

// closed appends a path and closes it. The pen stays down where ends lie apart
// by less than joining allows: a lifted pen would close each run for itself, and
// the fill would take in the holes.
func (d *pathData) closed(p geom.Path) {
	d.down = false
	for i := range p {
		if a := d.local(p[i].A); d.down && a != d.at && a.Finite() {
			d.command('L', a)
		}
		d.add(&p[i])
	}
	if d.down {
		d.buf = append(d.buf, 'Z')
		d.down = false
	}
}
