package curve

import "sluice/geom"

// Points on each segment of a rough run, and at most on a whole curve: enough
// to tell a circle from another shape.
const (
	roughPerSegment = 6
	roughMost       = 4000
)

// Rough returns points on the spline from end to end, for a look at its shape
// before any tolerance is known; none for a malformed spline.
func (s *Spline) Rough() []geom.Point {
	c, err := s.chain()
	if err != nil {
		return nil
	}
	return c.rough()
}

// Rough returns points on the ellipse from end to end; none for a malformed one.
func (e *Ellipse) Rough() []geom.Point {
	c, err := e.chain()
	if err != nil {
		return nil
	}
	return c.rough()
}

func (c *chain) rough() []geom.Point {
	n := 1
	if c.deg > 1 {
		n = roughPerSegment
	}
	step := 1 + len(c.segs)*n/roughMost
	out := []geom.Point{c.start}
	for i := range c.segs {
		for k := 1; k <= n; k++ {
			if j := i*n + k; j%step == 0 || j == len(c.segs)*n {
				out = append(out, c.segs[i].at(float64(k)/float64(n)).Add(c.origin))
			}
		}
	}
	out[len(out)-1] = c.end
	return out
}
