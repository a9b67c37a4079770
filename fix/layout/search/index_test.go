package search

import (
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// Whatever boxes have come, moved and gone, a rectangle is told all that it meets
// and none that is more than a bin away.
func TestIndex(t *testing.T) {
	const boxes, length, height = 150, 300.0, 100.0
	rng := rand.New(rand.NewPCG(1, 1))
	random := func() geom.Box {
		at := geom.Pt(-20+rng.Float64()*340, -20+rng.Float64()*140) // some reach out of the room
		return geom.Box{Min: at, Max: at.Add(geom.Pt(rng.Float64()*40, rng.Float64()*40))}
	}
	x := newIndex(boxes)
	x.reset(length, height)
	have := map[int]geom.Box{}
	room := geom.Box{Max: geom.Pt(length, height)}
	for round := range 3000 {
		k := rng.IntN(boxes)
		if rng.IntN(5) == 0 {
			x.drop(k)
			delete(have, k)
		} else {
			have[k] = random()
			x.put(k, have[k])
		}
		if round == 2000 {
			room.Max.X = 2 * length
			x.reset(room.W(), height)
			for k, b := range have {
				x.put(k, b)
			}
		}
		r := random()
		told := map[int]bool{}
		q := x.ask(r.Min.X, r.Max.X, r.Min.Y, r.Max.Y)
		for w := range x.words {
			for m := q.word(w); m != 0; {
				told[w<<6+next(&m)] = true
			}
		}
		for k := range boxes {
			b, in := have[k]
			if in && b.Overlaps(r) && !told[k] {
				t.Fatalf("round %d: box %d at %v meets %v and is not told", round, k, b, r)
			}
			if told[k] && (!in || b.Dist(r) > 2*(room.W()+height)/bins && room.ContainsBox(b) && room.ContainsBox(r)) {
				t.Fatalf("round %d: box %d at %v is told for %v", round, k, b, r)
			}
		}
	}
}
