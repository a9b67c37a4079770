package outline

// How free ends find their mates: every figure that weighs one way of closing an
// outline against another. The tolerances themselves (Join, Gap, Search, Kerf,
// Same) are Options. None has a source. Reckoned ones follow from geometry; judged
// ones are held by tests of this package, on drawings made by hand and at random;
// bounds keep the work near-linear, and more would find little else.

// What a pair of ends costs within the gap tolerance, where all pairs are chosen
// together so that the sum is least (mates.go): their distance as a share of the
// tolerance, 0 to 1, and besides, no unit:
const (
	misfitCost  = 0.4            // judged: times misfit, below
	layerCost   = 0.3            // judged: the ends lie on different layers
	closingCost = 0.7            // judged: times the whole, where the two ends of one chain close it
	alone       = 0.75           // reckoned: an end without a mate; two cost more than the worst pair, 1 + misfitCost
	mostCost    = 2*alone - 0.05 // reckoned: of a pair, so that no two that may be paired are both left
)

// misfit, 0 to 1, no unit: how badly two ends go on into each other.
const (
	straightOn = 0.0  // on each other, or facing each other along one line
	atCorner   = 0.1  // judged: they run on, or are cut back, to a common corner within reach
	runPast    = 0.2  // judged: they lie past each other on one line
	atAngle    = 0.3  // judged: else, and
	sideBySide = 0.35 // reckoned: times 1 + cosine of the angle between them, so that side by side is 1

	onePlace = 4    // judged, times Join: ends so near are straight on, whatever their direction
	headOn   = 0.98 // judged, cosine: within 11 degrees of one line
	parallel = 0.05 // judged, sine: lines within 3 degrees of each other have no common corner
)

// Ends that land on the inside of a piece (lands.go).
const (
	alongside  = 0.3 // judged, sine: an end that runs towards the piece at less, 17 degrees, runs beside it
	slantShare = 4   // judged: on the piece it hangs on an end lands where its way is a quarter of that back along the piece
)

// What gaps may take of what they close, length by length.
const (
	ownShare     = 3   // judged, a third: a chain is closed on itself
	brokenShare  = 3   // judged, a third: a ring is a broken outline, where its ends run on into each other
	bridgedShare = 8   // judged, an eighth: bridged while judging
	roundShare   = 0.6 // reckoned: of the way round its hull an open path goes round what lies in that; two sides of a rectangle take at most 0.59, half a circle 0.61, three sides of a square 0.75
)

// Bounds: how many are looked at.
const (
	mateLooks  = 6   // nearest ends of each end,
	mostTies   = 24  // with those as near as the last of them
	exactEnds  = 10  // ends that hang together and are paired exactly, over 2^10 sets
	exchanges  = 16  // rounds of exchanges among more
	nearTold   = 3   // nearest ends told of a gap too wide
	shellMates = 4   // candidates of each end across wider gaps (shell.go)
	shellLooks = 64  // ends looked at for them, since letters may lie near a gap
	pathLooks  = 256 // segs looked at for a short cut: with more between them, ends are far apart along a net
)
