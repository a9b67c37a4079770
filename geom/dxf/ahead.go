package dxf

import "runtime"

// feed yields groups, several at a time: none at the end of the file, or where an error is
// set. They are good until the next are asked for, and the state is that of the source
// behind the last of them.
type feed interface {
	more() []group
	state() *sourceState
}

// inStep is a feed of groups one by one, read when they are asked for.
type inStep struct {
	src source
	one [1]group
}

func (f *inStep) state() *sourceState { return f.src.state() }

func (f *inStep) more() []group {
	if !f.src.next(&f.one[0]) {
		return nil
	}
	return f.one[:]
}

// ahead is a feed whose groups are read by another core while those before are being
// looked at: what stands in one buffer at a time, so that all is told as if they were read
// in step.
type ahead struct {
	now  sourceState
	held *batch      // being looked at
	full chan *batch // to be looked at
	used chan *batch // to be filled anew
	stop chan struct{}
	done chan struct{}

	// Of the core that reads:
	src     *asciiSource
	left    []byte // the buffer that the source has left since the last batch began
	batches []*batch
	buffers [][]byte
}

// batch is groups that follow on each other.
type batch struct {
	groups []group
	state  sourceState
	buf    []byte // a buffer in which nothing is wanted any more once they are done with
}

// mostHeld is how many batches wait to be looked at.
const mostHeld = 4

// worthAhead reports whether so many bytes of text are enough to read ahead. Of what may
// keep the reader waiting, such as a pipe, the size is not known: nothing is read of it
// that is not asked for.
func worthAhead(size int64) bool { return size > 4*firstBuffer && runtime.GOMAXPROCS(0) > 1 }

// newAhead reads ahead in src, of which nothing has been taken yet. It must be closed.
func newAhead(src *asciiSource) *ahead {
	a := &ahead{
		now: *src.state(), full: make(chan *batch, mostHeld), used: make(chan *batch, mostHeld+2),
		stop: make(chan struct{}), done: make(chan struct{}), src: src,
	}
	src.fresh = a.fresh
	go a.run()
	return a
}

func (a *ahead) state() *sourceState { return &a.now }

func (a *ahead) more() []group {
	if a.held != nil {
		select {
		case a.used <- a.held:
		default:
		}
	}
	b, ok := <-a.full
	if a.held = b; !ok {
		return nil
	}
	a.now = b.state
	return b.groups
}

// close ends the reading, and waits for what is being read.
func (a *ahead) close() {
	close(a.stop)
	<-a.done
}

// run reads groups until the end. A batch ends where another buffer begins, and what is
// odd is one by itself, so that the state told with a batch holds for each of its groups.
func (a *ahead) run() {
	defer close(a.done)
	defer close(a.full)
	s, b, odd := a.src, new(batch), false
	for {
		var g group
		ok, wasOdd := s.next(&g), odd
		odd = !ok || g.bad || s.open
		if len(b.groups) > 0 && (odd || wasOdd || s.read != b.state.read) {
			b.buf = a.left
			if !a.send(b) {
				return
			}
			b = a.blank()
		}
		if len(b.groups) == 0 {
			b.state, a.left = s.sourceState, nil
		}
		if !ok {
			a.send(b)
			return
		}
		b.groups = append(b.groups, g)
	}
}

func (a *ahead) send(b *batch) bool {
	select {
	case a.full <- b:
		return true
	case <-a.stop:
		return false
	}
}

// fresh gives the source a buffer to go on in, as values lie in the one at hand.
func (a *ahead) fresh() []byte {
	n := len(a.src.buf)
	if a.left != nil {
		return a.src.buf // it has gone on already, and no group stands in this one
	}
	a.left = a.src.buf
	a.takeBack()
	if k := len(a.buffers) - 1; k >= 0 {
		b := a.buffers[k]
		if a.buffers = a.buffers[:k]; len(b) == n {
			return b
		}
	}
	return make([]byte, n)
}

// blank returns a batch without groups.
func (a *ahead) blank() *batch {
	a.takeBack()
	if k := len(a.batches) - 1; k >= 0 {
		b := a.batches[k]
		a.batches = a.batches[:k]
		b.groups = b.groups[:0]
		return b
	}
	return new(batch)
}

// takeBack takes back what is done with.
func (a *ahead) takeBack() {
	for {
		select {
		case b := <-a.used:
			a.batches = append(a.batches, b)
			if b.buf != nil {
				a.buffers = append(a.buffers, b.buf)
				b.buf = nil
			}
		default:
			return
		}
	}
}
