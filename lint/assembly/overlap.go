package assembly

import (
	"math"

	"sluice/geom/plate"
)

// relation is two shapes and how the second lies to the first, to a fiftieth of a mm.
type relation struct {
	a, b int32
	turn [6]int16
	at   [3]int32
}

// mostKnown bounds what is remembered of pairs of shapes.
const mostKnown = 2_000_000

// overlap returns the volume, mm3, that two shapes have in common; the same pairs come up
// again and again as a kit is put together in other ways.
func (m *maker) overlap(a int, at plate.Pose, b int, bt plate.Pose) float64 {
	if a > b {
		a, at, b, bt = b, bt, a, at
	}
	rel := bt.Then(at.Back())
	key := relation{a: int32(a), b: int32(b)}
	for k := range 3 {
		key.turn[k], key.turn[3+k] = int16(math.Round(rel.R[0][k]*1e4)), int16(math.Round(rel.R[1][k]*1e4))
		key.at[k] = int32(math.Round(rel.T[k] * 50))
	}
	if v, ok := m.volumes[key]; ok {
		return v
	}
	m.looks += 20
	v := plate.Overlap(m.shapes[a].plate, plate.Still(), m.shapes[b].plate, rel)
	if len(m.volumes) < mostKnown {
		m.volumes[key] = v
	}
	return v
}
