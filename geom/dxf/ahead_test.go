package dxf

import (
	"bytes"
	"math/rand/v2"
	"reflect"
	"testing"

	"sluice/fixtures/gen/mutate"
)

// sameAhead reads data in step and ahead, through buffers of a size.
func sameAhead(t *testing.T, data []byte, size int) {
	t.Helper()
	source := func() *asciiSource {
		s := newASCIISource(bytes.NewReader(data), nil, 1<<20)
		head := newASCIISource(bytes.NewReader(nil), data, 1<<20)
		s.sep, s.spaced, s.buf = head.sep, head.spaced, make([]byte, size)
		return s
	}
	step, a := &inStep{src: source()}, newAhead(source())
	defer a.close()
	var ready []group
	for {
		want := step.more()
		if len(ready) == 0 {
			ready = a.more()
		}
		if state := *step.state(); state.read != a.state().read || state.badLine != a.state().badLine || state.open != a.state().open {
			t.Fatalf("behind line %d: %+v, %+v", state.line, state, a.state())
		}
		if len(want) == 0 || len(ready) == 0 {
			if len(want) != len(ready) || !reflect.DeepEqual(step.state(), a.state()) {
				t.Fatalf("the end: %+v, %+v", step.state(), a.state())
			}
			return
		}
		if !sameGroup(&want[0], &ready[0]) {
			t.Fatalf("%+v, %+v", want[0], ready[0])
		}
		ready = ready[1:]
	}
}

// TestAhead: what is read ahead is what is read in step, whatever is wrong with it, and
// whoever asks for no more.
func TestAhead(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	file := mixedFile(100)
	sameAhead(t, file, 1<<10)
	seeds := [][]byte{file, []byte(whole), bytes.ReplaceAll([]byte(whole), []byte("\n"), []byte("\r\n\r\n")), []byte("0\rSECTION\r2\rENTITIES\r")}
	for i := range 1000 {
		sameAhead(t, mutate.Text(r, seeds[i%len(seeds)]), 16<<r.IntN(8))
	}
	for range 20 {
		a := newAhead(newASCIISource(bytes.NewReader(mixedFile(2000)), nil, 1<<20))
		for range r.IntN(4) {
			if len(a.more()) == 0 {
				t.Error("no groups")
			}
		}
		a.close()
	}
}
