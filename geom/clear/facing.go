package clear

import (
	"math"
	"math/bits"

	"sluice/geom"
	"sluice/geom/index"
)

// allDirs is a set of directions that holds every one.
const allDirs = ^uint64(0)

// normals are the directions of the normals of a run of pieces, as sets of
// sectors. Neighbours on an outline are kept together in the tree, so that a long
// smooth run is dismissed as a whole: its normals do not face each other.
type normals struct {
	dirs   uint64 // sectors that hold a normal of a piece of the run
	facing uint64 // sectors opposite to those, give or take 60 degrees
}

// normalsOf gathers the normals of each node of a tree over pieces.
func normalsOf(t *index.Tree, dirs []uint64) []normals {
	of := make([]normals, len(t.Nodes))
	for k := range t.Nodes { // children come before their parents
		n := &t.Nodes[k]
		if !n.Leaf() {
			a, b := &of[n.Left], &of[n.Right]
			of[k] = normals{a.dirs | b.dirs, a.facing | b.facing}
			continue
		}
		for _, d := range dirs[n.Lo:n.Hi] {
			of[k].dirs |= d
		}
		of[k].facing = facing(of[k].dirs)
	}
	return of
}

// The plane's directions are cut into 64 sectors by the diamond angle, which
// needs no trigonometry. Opposite directions lie exactly 32 sectors apart, and
// a turn by 60 degrees moves by at most 12 of them (64/4 * 2 tan 30 / (1 + tan
// 30) = 11.7), so 13 on either side of the opposite sector are sure to hold
// every direction at 120 degrees or more.
const facingReach = 13

// sector returns the sector of direction d.
func sector(d geom.Point) uint {
	s := math.Abs(d.X) + math.Abs(d.Y)
	if s == 0 {
		return 0
	}
	var a float64
	switch {
	case d.Y >= 0 && d.X >= 0:
		a = d.Y / s
	case d.Y >= 0:
		a = 1 - d.X/s
	case d.X < 0:
		a = 2 - d.Y/s
	default:
		a = 3 + d.X/s
	}
	return uint(a*16) & 63
}

// sectors returns the sectors passed when turning counter-clockwise from a to b.
func sectors(a, b geom.Point) uint64 {
	i, j := sector(a), sector(b)
	n := (j-i)&63 + 1
	if n == 64 {
		return allDirs
	}
	return bits.RotateLeft64(1<<n-1, int(i))
}

// facing returns the sectors opposite to those of m, widened by facingReach.
func facing(m uint64) uint64 {
	if m == allDirs {
		return m
	}
	m = bits.RotateLeft64(m, 32)
	for range facingReach {
		m |= bits.RotateLeft64(m, 1) | bits.RotateLeft64(m, -1)
	}
	return m
}
