package search

import (
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// What workers learn of each other depends on what they offer and when by their
// own count, whichever of them is the faster; one that leaves holds nobody up, and
// its last offer stays.
func TestMeeting(t *testing.T) {
	offers := [][]float64{{9, 7, 7, 5}, {8}, {0, 9, 4, 4}} // by worker and round; the last is left behind
	want := [][]float64{{8, 7, 4}, nil, {8, 7, 4}}
	for slow := range offers {
		m := newMeeting(len(offers))
		got := make([][]float64, len(offers))
		var wg sync.WaitGroup
		for k, list := range offers {
			wg.Go(func() {
				for n, l := range list {
					if k == slow {
						time.Sleep(time.Millisecond)
					}
					if n == len(list)-1 {
						m.leave(k, offer{length: l})
						return
					}
					got[k] = append(got[k], m.come(k, offer{length: l}).length)
				}
			})
		}
		wg.Wait()
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("worker %d slow:\n%s", slow, diff)
		}
	}
}
