package guard

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"sluice/geom"
)

// Measured is what is reckoned of a part.
type Measured struct {
	Part
	Area     float64    // without its holes, mm2
	Centroid geom.Point // of the same
}

// Measures takes the measures of parts a second time, from polygons and by other
// code. What a part weighs, and whether it can tip between the slats, hangs on
// them. The error is a *Fault where one is not what its outlines enclose.
func Measures(parts []Measured) error {
	var faults []Fault
	for i := range parts {
		p := &parts[i]
		area, moment := 0.0, geom.Point{}
		reach, curved, apart := 0.0, 0.0, 0.0 // mm: size, length of arcs, ends that are one place but not one point
		for k, path := range p.paths() {
			ring := path.Ring(chord)
			if len(ring) < 3 {
				continue
			}
			at, a := planar.CentroidArea(orb.Polygon{ring})
			if a = math.Abs(a); k > 0 {
				a = -a
			}
			area += a
			moment = moment.Add(geom.Pt(at[0], at[1]).Mul(a))
			for i, q := range path {
				if !q.IsLine() {
					curved += q.Length()
				}
				apart += q.B.Dist(path[(i+1)%len(path)].A)
			}
			reach = max(reach, path.Box().Min.Dist(path.Box().Max))
		}
		off := chord*curved + apart*reach + 1e-9*reach*reach // and by rounding
		if d := math.Abs(area - p.Area); d > off {
			faults = append(faults, Fault{What: Mismeasured, At: p.Centroid, Much: d})
			continue
		}
		if !(area > 10*off) {
			continue // a sliver: where its middle lies cannot be said
		}
		if d := moment.Mul(1 / area).Dist(p.Centroid); d > 4*off/area*reach+1e-6 {
			faults = append(faults, Fault{What: Mismeasured, At: p.Centroid, Much: d, Note: "that is how far off its middle is"})
		}
	}
	return gravest(faults)
}
