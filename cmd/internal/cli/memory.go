package cli

import (
	"cmp"
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"slices"
)

// leastMemory is the memory limit below which it is not worth to go: any computer has
// that much, and near a limit pages are given back only to be asked for again, which
// costs a drawing of 10^4 entities as much time as judging it.
const leastMemory = 512 << 20

// limitTimes is the limit in sizes of the drawings, where that is above the least: a
// drawing of 10^6 entities has up to three and a half times its file in use.
const limitTimes = 3.4

// unknownSize is that of standard input.
const unknownSize = math.MaxInt64

// sizesOf returns how large drawings are, bytes.
func sizesOf(inputs []input) []int64 {
	sizes := make([]int64, len(inputs))
	for i, in := range inputs {
		sizes[i] = unknownSize
		if fi, err := os.Stat(in.path); err == nil && fi.Mode().IsRegular() {
			sizes[i] = fi.Size()
		}
	}
	return sizes
}

// limitMemory sets a soft limit for the heap that goes by the size of the
// drawings worked on at once: judging one takes about three and a half times its file. Near
// the limit the collector runs more often, which costs a tenth of the time and
// keeps the peak low; a drawing that needs more still gets it. GOMEMLIMIT in the
// environment goes before.
func limitMemory(sizes []int64, atOnce int) {
	if os.Getenv("GOMEMLIMIT") != "" || slices.Contains(sizes, unknownSize) {
		return
	}
	sizes = slices.Clone(sizes)
	slices.SortFunc(sizes, func(a, b int64) int { return cmp.Compare(b, a) })
	var sum int64
	for _, s := range sizes[:min(max(atOnce, 1), len(sizes))] {
		sum += s
	}
	limit := max(leastMemory, int64(limitTimes*float64(sum)))
	debug.SetMemoryLimit(limit)
	keepAhead(limit)
}

// keepAhead lifts the limit, so that it is ahead of what is in use after a collection by
// a twentieth: a drawing that needs more than others of its size would be collected
// without end.
func keepAhead(limit int64) {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	var look func(*[16]byte)
	look = func(mark *[16]byte) { // once after every collection
		if metrics.Read(live); live[0].Value.Kind() == metrics.KindUint64 {
			if least := int64(live[0].Value.Uint64()) / 20 * 21; least > limit {
				limit = least
				debug.SetMemoryLimit(limit)
			}
		}
		runtime.SetFinalizer(mark, look)
	}
	runtime.SetFinalizer(new([16]byte), look)
}
