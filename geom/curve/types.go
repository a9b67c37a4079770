package curve

import "sluice/geom"

// Spline is a B-spline curve, rational where Weights is set, or (with no
// control points) a smooth curve through Fit points.
type Spline struct {
	Degree   int
	Knots    []float64
	Ctrl     []geom.Point
	Weights  []float64 // empty: all 1
	Fit      []geom.Point
	StartTan geom.Point // direction at the first fit point; zero: free
	EndTan   geom.Point
	Closed   bool
	Periodic bool
}

// Ellipse is an elliptical arc: Center + Major cos(t) + Minor sin(t), with
// Minor = Ratio * Major turned a quarter left (or right, where Mirrored), for t
// from Start to End (radians; End > Start; a full turn is the whole ellipse).
type Ellipse struct {
	Center, Major geom.Point
	Ratio         float64
	Start, End    float64
	Mirrored      bool
}
