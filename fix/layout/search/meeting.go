package search

import "sync"

// offer is a pose free of overlaps that a worker has found, and the length it
// takes; nothing where the length is 0. It is never changed.
type offer struct {
	pose
	length float64
}

// meeting lets workers compare their best. They come together after equal shares
// of work, whoever is there first waits, and all are told the best of all: so what
// each of them learns, and when, depends on the work alone, on any number of cores.
type meeting struct {
	mu      sync.Mutex
	round   sync.Cond
	present int // workers that have not left
	came    int
	rounds  int
	offers  []offer // by worker: its latest
	best    offer   // of the last round
}

func newMeeting(workers int) *meeting {
	m := &meeting{present: workers, offers: make([]offer, workers)}
	m.round.L = &m.mu
	return m
}

// come waits for all workers that are present and returns the best of all offers,
// of equal ones that of the first.
func (m *meeting) come(worker int, o offer) offer {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.offers[worker] = o
	m.came++
	now := m.rounds
	m.close()
	for m.rounds == now {
		m.round.Wait()
	}
	return m.best
}

// leave is called by a worker that will not come again. What it offers stays.
func (m *meeting) leave(worker int, o offer) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.offers[worker] = o
	m.present--
	m.close()
}

// close ends the round once all who are present have come.
func (m *meeting) close() {
	if m.came < m.present || m.came == 0 {
		return
	}
	m.best = offer{}
	for _, o := range m.offers {
		if o.length > 0 && (m.best.length == 0 || o.length < m.best.length) {
			m.best = o
		}
	}
	m.came = 0
	m.rounds++
	m.round.Broadcast()
}
