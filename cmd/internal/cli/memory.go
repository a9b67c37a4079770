package cli

import (
	"cmp"
	"os"
	"runtime/debug"
	"slices"
)

// leastMemory is the memory limit below which it is not worth to go.
const leastMemory = 64 << 20

// largeInput is the size of drawings from which on the limit is wider.
const largeInput = 64 << 20

// limitMemory sets a soft limit for the heap that goes by the size of the
// drawings worked on at once: judging one takes about three times its file. Near
// the limit the collector runs more often, which costs a tenth of the time and
// keeps the peak low; a drawing that needs more still gets it. GOMEMLIMIT in the
// environment goes before.
func limitMemory(inputs []input, atOnce int) {
	if os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	var sizes []int64
	for _, in := range inputs {
		if fi, err := os.Stat(in.path); err == nil && fi.Mode().IsRegular() {
			sizes = append(sizes, fi.Size())
		} else {
			return // standard input: of no known size
		}
	}
	slices.SortFunc(sizes, func(a, b int64) int { return cmp.Compare(b, a) })
	var sum int64
	for _, s := range sizes[:min(max(atOnce, 1), len(sizes))] {
		sum += s
	}
	times := 4.2
	if sum > largeInput {
		times = 6 // where the collector would run for seconds, memory is the cheaper
	}
	debug.SetMemoryLimit(max(leastMemory, int64(times*float64(sum))))
}
