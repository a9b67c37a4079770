package dxf

import (
	"io"
	"io/fs"
)

// sizeOf returns how many bytes r still holds, 0 if it does not know.
func sizeOf(r io.Reader) int64 {
	switch f := r.(type) {
	case interface{ Len() int }:
		return int64(f.Len())
	case interface{ Stat() (fs.FileInfo, error) }:
		if i, err := f.Stat(); err == nil && i.Mode().IsRegular() {
			return i.Size()
		}
	}
	return 0
}

// growth foresees how long lists will become, from how much of the file made
// how much so far, so that they need not be copied over and over. It goes by
// the size of the file and by nothing that is written in it.
type growth struct {
	size  int64 // of the file, 0 if unknown
	start int64 // where the entities began
	read  *int64
}

// foresee returns list with room for one more; when it has to grow, with room
// for what the rest of the file is likely to bring.
func foresee[T any](g *growth, list []T) []T {
	if len(list) < cap(list) {
		return list
	}
	return enlarge(g, list)
}

func enlarge[T any](g *growth, list []T) []T {
	n := len(list)
	room := max(64, 2*n)
	if done := *g.read - g.start; g.size > 0 && done > 4*firstBuffer {
		rest := max(0, g.size-*g.read)
		per := float64(n) / float64(done)
		// At most one stroke for 16 bytes: a vertex takes no fewer.
		room = n + int(min(per*1.02*float64(rest), float64(rest)/16)) + n/8 + 64
	}
	out := make([]T, n, room)
	copy(out, list)
	return out
}
