package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"io"
	"math"

	"sluice/geom"
)

//go:embed assets/kit_picture.css
var kitPictureCSS string

// kitPixels is how many pixels the picture of a kit is wide.
const kitPixels = 1000

// assembleSVG draws all groups as they stand, side by side, as a picture that stands
// alone.
func assembleSVG(w io.Writer, a *Assembly) error {
	var spots []kitSpot
	area, widest := 0.0, 0.0
	for i := range a.Kit.Groups {
		v := newGroupView(a, i)
		box := v.whole()
		spots = append(spots, kitSpot{view: v, box: box})
		area += box.W() * box.H()
		widest = max(widest, box.W())
	}
	width, height := shelve(spots, max(widest, kitShape*math.Sqrt(area)))
	if len(spots) == 0 {
		width, height = 100, 20
	}
	scale := across / max(width, height)
	page := svgPage{width: math.Round(width * scale), height: math.Round(height * scale), pixels: kitPixels, css: kitPictureCSS, shows: "kit",
		title: fmt.Sprintf("%s: %s in %s", clean(a.Path), plural(len(a.copies()), "part"), plural(len(a.Kit.Groups), "group"))}
	page.tall = tallFor(kitPixels, width, height, 40)
	var b bytes.Buffer
	letters := kitNumber * max(width, height)
	for i := range spots {
		s := &spots[i]
		s.view.unit = scale
		x, y := s.view.local(geom.Pt(s.box.Min.X, s.box.Max.Y))
		fmt.Fprintf(&b, `<g transform="translate(%d %d)">`, int(s.at.X*scale)-x, int(s.at.Y*scale)-y)
		s.view.alone(&b, letters)
		x, y = s.view.local(geom.Pt(s.box.Center().X, s.box.Min.Y))
		fmt.Fprintf(&b, "<g class=\"head\"><text x=\"%d\" y=\"%d\" font-size=\"%d\" text-anchor=\"middle\">group %d</text></g></g>\n",
			x, y+int(1.5*letters*scale), int(letters*scale), i+1)
	}
	if len(spots) == 0 {
		fmt.Fprintf(&b, "<g class=\"head\"><text x=\"%d\" y=\"%d\" font-size=\"%d\" text-anchor=\"middle\">no parts that go into each other</text></g>\n", across/2, across/9, across/40)
	}
	page.board = b.String()
	return page.write(w)
}

// kitSpot is where a group lies on the picture of a kit: its upper left, y downwards.
type kitSpot struct {
	view *groupView
	box  geom.Box
	at   geom.Point
}

// Shares of the picture of a kit.
const (
	kitShape  = 1.7 // width of a row over the side of a square of the same area
	kitNumber = 1.0 / 55
	kitGap    = 1.0 / 24
)

// shelve lays groups side by side, in rows no wider than a width, and returns the size of
// it all, mm.
func shelve(spots []kitSpot, row float64) (width, height float64) {
	gap := kitGap * row
	x, y, tall := gap, gap, 0.0
	for i := 0; i < len(spots); {
		k := i
		for tall = 0; k < len(spots) && (k == i || x+spots[k].box.W() <= row+gap); k++ {
			spots[k].at.X = x
			x += spots[k].box.W() + gap
			tall = max(tall, spots[k].box.H())
		}
		width = max(width, x)
		for ; i < k; i++ {
			spots[i].at.Y = y + tall - spots[i].box.H()
		}
		x, y = gap, y+tall+1.6*gap
	}
	return width, y
}

// alone draws a whole group, with numbers so many mm high at most, without pointing to
// patches.
func (v *groupView) alone(w *bytes.Buffer, letters float64) {
	all := func(int) bool { return true }
	look := v.scene.Look(all, all)
	for _, k := range look.Patches {
		v.patch(w, k, "")
		for _, s := range v.scene.Patches[k].Seams {
			v.seam(w, s.Lines, "")
		}
	}
	v.gone(w)
	v.numbers(w, look, letters)
}
