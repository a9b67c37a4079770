package dxf

import (
	"math"
	"testing"
)

// rgb are the colours of our layers as programs show them on white (from memory of
// the colour index of the format: 24 hues in steps of 15 degrees, darker by tens; 251 is a
// dark grey).
var rgb = map[int][3]float64{
	plainColor: {0, 0, 0}, tealColor: {0, 165, 165}, ochreColor: {165, 124, 0}, violetColor: {191, 0, 255}, greyColor: {91, 91, 91},
}

// linear undoes the encoding of sRGB (IEC 61966-2-1).
func linear(c [3]float64) (l [3]float64) {
	for i, v := range c {
		if v /= 255; v <= 0.04045 {
			l[i] = v / 12.92
		} else {
			l[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return l
}

// lab returns CIE L*a*b* of linear sRGB, white point D65.
func lab(c [3]float64) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505)
	y := f(0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2])
	z := f((0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// TestLayerColors: all pairs of our layers' colours stay apart for people who see
// all colours, and for those who lack the red or the green receptor. The
// simulation is from memory of Vienot, Brettel and Mollon, "Digital video
// colourmaps for checking the legibility of displays by dichromats", Color Research
// and Application 24 (1999). A difference of 20 is seen at a glance (about ten times
// what can just be noticed).
func TestLayerColors(t *testing.T) {
	eyes := map[string]func(c [3]float64) [3]float64{
		"all colours": func(c [3]float64) [3]float64 { return c },
		"without red": func(c [3]float64) [3]float64 {
			y := 0.11238*c[0] + 0.88762*c[1]
			return [3]float64{y, y, 0.00401*c[0] - 0.00401*c[1] + c[2]}
		},
		"without green": func(c [3]float64) [3]float64 {
			y := 0.29275*c[0] + 0.70725*c[1]
			return [3]float64{y, y, -0.02234*c[0] + 0.02234*c[1] + c[2]}
		},
	}
	for _, layers := range [][]writtenLayer{writtenLayers, pathLayers} {
		for name, see := range eyes {
			for i := range layers {
				for k := range i {
					a, b := layers[i], layers[k]
					if a.color == b.color && a.color == greyColor {
						continue // neither is run
					}
					p, q := lab(see(linear(rgb[a.color]))), lab(see(linear(rgb[b.color])))
					if d := math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2])); d < 20 {
						t.Errorf("%s: %s and %s are %.0f apart", name, a.name, b.name, d)
					}
				}
			}
		}
	}
}
