package outline

import (
	"context"
	"runtime"
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
)

// Role says what a stroke is for.
type Role uint8

// Roles.
const (
	Cut    Role = iota // bounds parts and holes
	Tab                // bounds parts, but is left uncut
	Etch               // marked, not cut
	Ignore             // neither
	Noted              // put aside, not cut: a mark that nobody has decided on
)

// Options are the tolerances of Build, mm. All must be above 0.
type Options struct {
	Join    float64 // ends nearer than this are one place
	Gap     float64 // free ends nearer than this are bridged while judging
	Same    float64 // pieces nearer than this all along are drawn twice
	Search  float64 // how far a free end looks for its partner
	Kerf    float64 // lone chains shorter than this are strays
	Workers int     // cores to use, 0 for all
	Once    bool    // edges common to two parts are flagged IsTwin in one of them too
	// Layer says which strokes count as on one layer; nil: those on one layer
	// of the drawing.
	Layer func(*drawing.Stroke) int32
	// Colors says that what is drawn in unlike colours may be unlike things; set
	// where Layer is nil.
	Colors bool

	Aside [AsideKinds]Choice // what a person decided of outlines that bound no part
	Texts []TextAt           // where text stands, which tells title blocks and tables
	Own   bool               // this program wrote the drawing: what it cuts has been decided

	plain bool // outlines are nested, and nothing is set aside
}

// Build joins strokes into outlines and parts. role gives each stroke's role.
// The strokes are not changed. It returns ctx's error if that ends first.
func Build(ctx context.Context, strokes []drawing.Stroke, role func(*drawing.Stroke) Role, o Options) (*Sheet, error) {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Layer == nil {
		o.Layer = func(s *drawing.Stroke) int32 { return s.Layer }
		o.Colors = true
	}
	b := &builder{
		o: o, strokes: strokes, sheet: &Sheet{},
		openOf: map[segID]int32{}, shellOf: map[segID]int32{}, untrimmed: map[segID][2]float64{}, ringish: map[segID]bool{}, bridgeOut: map[int32]int32{},
	}
	b.choose(role)
	b.dropRepeats()
	if err := b.meet(ctx); err != nil {
		return nil, err
	}
	b.resolveRepeats()
	b.makeSegs()
	b.splitAtContacts()
	b.splitChords()
	b.nodes.Settle()
	b.link()
	b.findOpenChains()
	b.pairGaps()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	b.close()
	if err := b.putAside(ctx, role); err != nil {
		return nil, err
	}
	b.settleOpen()
	b.gatherNotes()
	b.tellOverlaps()
	b.order()
	return b.sheet, ctx.Err()
}

// close makes outlines of what the gaps and bridges join, and finds which lies
// in which: once more where outlines that are almost closed lie in nothing.
func (b *builder) close() {
	gone, segs := slices.Clone(b.gone), len(b.segs)
	for {
		b.pruneTails()
		b.makeOutlines()
		b.tellCrossings()
		if len(b.shells) == 0 {
			// Large sheets: let go of what only joining needed before nesting begins.
			b.nodes, b.ends, b.halfs, b.first, b.deg = nil, nil, nil, nil, nil
		}
		b.nest()
		shells := b.shellsInNothing()
		if len(shells) == 0 {
			return
		}
		b.segs, b.gone = b.segs[:segs], slices.Clone(gone)
		b.openOf, b.bridgeOut = map[segID]int32{}, map[int32]int32{}
		b.shared, b.flat, b.locate, b.crossed = nil, nil, nil, nil
		s := b.sheet
		s.Open, s.Outlines, s.Crossings, s.Tangles = nil, nil, nil, nil
		b.bridge(shells)
	}
}

// builder carries the state of one Build from step to step.
type builder struct {
	o       Options
	strokes []drawing.Stroke
	sheet   *Sheet

	act  []strokeID // stroke of each active piece (cut or tab, longer than nothing)
	tab  []bool     // by active piece
	etch []strokeID // strokes to etch
	note []strokeID // strokes put aside

	repeatOf []pieceID // by active piece: the active piece it repeats whole, or -1
	live     []pieceID // active pieces that are no whole repeats, ascending
	nodes    *index.Points[nodeID]
	ends     []nodeID // by active piece, 2 each: node of its ends
	met      meetings
	crossOut map[[2]int32]bool // pairs of outlines that cross each other

	crossAt map[pieceID][]crossHit // by active piece, once asked for

	lost  map[pieceID][]lostRun // by live active piece: stretches that repeat another piece
	links []link

	segs  []seg
	first []int32 // CSR: half-segments by node; half h is seg h.seg(), from its start (even) or end (odd)
	halfs []halfID
	gone  []bool // by seg: taken out (open chain)
	deg   []int32

	chains   []chain
	crossed  map[pieceID][]crossing
	splitOff map[segID][]segID // seg -> segs split off it by ends that land on it
	shared   []sharedSeg
	flat     []int32    // open paths that close but enclose nothing
	curveOf  []strokeID // by stroke: the first stroke of its curve, once asked for
	block    Path       // room for outlines to come
	walked   []halfID   // scratch of ring
	locate   *locator
	aside    aside

	gapSegs   [][2]segID      // by gap: the segs at its ends, -1
	openOf    map[segID]int32 // seg -> index in Open
	ringish   map[segID]bool  // seg -> its chain is one that a few gaps keep from closing
	bridgeOut map[int32]int32 // bridge number -> outline it closes
	bridges   []geom.Piece
	untrimmed map[segID][2]float64 // shares of segs before they were cut back to what they run past
	shells    []shell              // outlines that are almost closed, until decided
	shellOf   map[segID]int32      // seg at a gap of a shell -> its bridge
}

// seg is a stretch of an active piece between two nodes; piece < 0 is bridge
// number ^piece.
type seg struct {
	piece  pieceID
	part   bool // only the stretch t0..t1
	t0, t1 float64
	n0, n1 nodeID
}

// lostRun is a stretch of a piece that repeats the piece twin.
type lostRun struct {
	t0, t1 float64
	twin   pieceID
	u0, u1 float64
	apart  float64
}

// link asks for node to lie on piece on at share t.
type link struct {
	node nodeID
	on   pieceID
	t    float64
}

func (b *builder) choose(role func(*drawing.Stroke) Role) {
	for i := range b.strokes {
		s := &b.strokes[i]
		switch r := role(s); r {
		case Cut, Tab:
			if s.Length() <= b.o.Join {
				b.sheet.Strays = append(b.sheet.Strays, Stray{Stroke: int32(i), At: s.A, Length: s.Length()})
				continue
			}
			b.act = append(b.act, strokeID(i))
			b.tab = append(b.tab, r == Tab)
		case Etch:
			b.etch = append(b.etch, strokeID(i))
		case Noted:
			b.note = append(b.note, strokeID(i))
		}
	}
}

// piece returns active piece i.
func (b *builder) piece(i pieceID) *geom.Piece { return &b.strokes[b.act[i]].Piece }

func (b *builder) dropRepeats() {
	done := make(chan struct{})
	go func() {
		b.repeatOf = wholeRepeats(len(b.act), b.piece, b.o.Same)
		close(done)
	}()
	b.nodes = index.NewPoints[nodeID](b.o.Join, len(b.act))
	b.ends = make([]nodeID, 2*len(b.act))
	for i := range b.act {
		p := b.piece(pieceID(i))
		b.ends[2*i] = b.nodes.Place(p.A)
		b.ends[2*i+1] = b.nodes.Place(p.B)
	}
	<-done
	b.dropShortRepeats()
	for i := range b.act {
		if p := b.piece(pieceID(i)); b.repeatOf[i] < 0 && p.Length() <= 4*b.o.Join && b.nodes.Find(b.ends[2*i]) == b.nodes.Find(b.ends[2*i+1]) {
			// Both ends are one place: it has no length worth the name.
			b.sheet.Strays = append(b.sheet.Strays, Stray{Stroke: int32(b.act[i]), At: p.Mid(), Length: p.Length()})
			continue
		}
		if b.repeatOf[i] < 0 {
			b.live = append(b.live, pieceID(i))
		}
	}
	for i, j := range b.repeatOf {
		if j < 0 {
			continue
		}
		p, q := b.piece(pieceID(i)), b.piece(j)
		if p.IsCircle() {
			continue
		}
		// A repeat may lie up to same away: what hung on it hangs on its twin.
		if p.A.Dist2(q.A) <= p.A.Dist2(q.B) {
			b.nodes.Union(b.ends[2*i], b.ends[2*j])
			b.nodes.Union(b.ends[2*i+1], b.ends[2*j+1])
		} else {
			b.nodes.Union(b.ends[2*i], b.ends[2*j+1])
			b.nodes.Union(b.ends[2*i+1], b.ends[2*j])
		}
	}
	for i := range b.ends {
		b.ends[i] = b.nodes.Find(b.ends[i])
	}
}

// dropShortRepeats finds repeats among pieces so short that wholeRepeats must
// compare them more strictly than others: two that join the same two nodes and
// lie within same of each other are one piece drawn twice.
func (b *builder) dropShortRepeats() {
	first := map[[2]nodeID]pieceID{}
	for i := range b.act {
		p := b.piece(pieceID(i))
		x, y := b.nodes.Find(b.ends[2*i]), b.nodes.Find(b.ends[2*i+1])
		if b.repeatOf[i] >= 0 || x == y || p.Length() >= 8*b.o.Same {
			continue
		}
		k := [2]nodeID{min(x, y), max(x, y)}
		j, ok := first[k]
		if !ok {
			first[k] = pieceID(i)
		} else if p.Mid().Dist(b.piece(j).Mid()) <= b.o.Same {
			b.repeatOf[i] = j
		}
	}
}

// meet finds crossings, contacts and partial repeats among the live pieces.
func (b *builder) meet(ctx context.Context) error {
	n := len(b.live)
	w := pairs{live: b.live, piece: func(i int) *geom.Piece { return b.piece(b.live[i]) }, join: b.o.Join, same: b.o.Same}
	w.ends = make([]nodeID, 2*n)
	w.boxes = make([]geom.Box, n)
	for i, p := range b.live {
		w.ends[2*i], w.ends[2*i+1] = b.ends[p.start()], b.ends[p.end()]
		w.boxes[i] = w.piece(i).Box().Inflate(b.o.Same / 2)
	}
	w.grid = index.NewGrid(n, w.piece, b.o.Same, 0)
	var err error
	b.met, err = w.run(ctx, b.o.Workers)
	return err
}
