package assembly

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"sync"

	"sluice/lint/kit"
)

// What a kit may have so that it is rebuilt soon: parts with joints, and joints; and how often
// it is put together as a whole.
const (
	soonParts  = 160
	soonJoints = 2500
	soonRounds = 1
)

// Soon rebuilds a kit in space where that takes about a second at most; else it returns
// nil, as where there is no kit. A drawing under repair is judged many times with the same
// joints: what was rebuilt last is remembered.
func Soon(k *kit.Kit) *Kit {
	with := map[int32]bool{}
	for i := range k.Joints {
		with[k.Joints[i].Part] = true
	}
	if len(with) < 2 || len(with) > soonParts || len(k.Joints) > soonJoints {
		return nil
	}
	return soon.of(digest(k), func() *Kit { return of(k, soonRounds, mostTries) })()
}

// memory holds what was rebuilt last, or is being rebuilt: of equal drawings judged at once
// one is.
type memory struct {
	sync.Mutex
	last [16]remembered
	next int
}

type remembered struct {
	key [sha256.Size]byte
	kit func() *Kit // nil: nothing is remembered
}

var soon memory

// of returns what gives a kit, by rebuilding it the first time.
func (m *memory) of(key [sha256.Size]byte, rebuild func() *Kit) func() *Kit {
	m.Lock()
	defer m.Unlock()
	for i := range m.last {
		if m.last[i].kit != nil && m.last[i].key == key {
			return m.last[i].kit
		}
	}
	m.last[m.next] = remembered{key, sync.OnceValue(rebuild)}
	out := m.last[m.next].kit
	m.next = (m.next + 1) % len(m.last)
	return out
}

// digest returns what two drawings have alike whose kits stand alike: joints, and the
// extents of outlines, to a fiftieth of a mm.
func digest(k *kit.Kit) [sha256.Size]byte {
	h := sha256.New()
	var b []byte
	put := func(vs ...float64) {
		for _, v := range vs {
			b = binary.LittleEndian.AppendUint64(b, uint64(int64(math.Round(v*50))))
		}
	}
	for i := range k.Thicknesses {
		put(k.Thicknesses[i].Width, k.Thicknesses[i].Depth, k.Thicknesses[i].Play)
	}
	for _, list := range [3][]kit.Joint{k.Joints, k.Idle, k.Askew} {
		put(float64(len(list)))
		for i := range list {
			j := &list[i]
			put(float64(j.Kind), float64(j.Part), float64(j.Edge), j.Length, j.Depth, j.Width, j.Angle, j.At.X, j.At.Y, j.Out.X, j.Out.Y, j.Dir.X, j.Dir.Y)
		}
	}
	for i := range k.Sheet.Parts {
		p := &k.Sheet.Parts[i]
		put(float64(p.Number), float64(len(p.Holes)), p.Box.Min.X, p.Box.Min.Y, p.Box.Max.X, p.Box.Max.Y)
		for _, o := range p.Holes {
			q := &k.Sheet.Outlines[o].Box
			put(q.Min.X, q.Min.Y, q.Max.X, q.Max.Y)
		}
	}
	h.Write(b)
	return [sha256.Size]byte(h.Sum(nil))
}
