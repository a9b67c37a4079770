package kit

import "math"

// How near figures of a drawing must be to count as one, or for one thing to be
// meant for another. All are judged: chosen on the sample kits and the demo, so that
// drawings rounded to hundredths of an inch or of a mm, and slots with any of the
// usual plays, come out as a person would say; none is measured, none has a source.
// Lengths are mm, shares are of the thickness unless they say otherwise.
const (
	// rightAngle is by how much a right angle may be off, radians.
	rightAngle = 4 * math.Pi / 180
	// sameHeading (the cosine between directions) and sameLevel: steps and sides
	// that agree so far stand on one line. parallel is the sine for joints.
	sameHeading, sameLevel = 0.99999, 0.1
	parallel               = 0.02

	// Widths of one thickness lie no further apart than the larger of these; a width
	// belongs to a thickness within slotWidth, slotWidthShare.
	sameWidthLeast, sameWidthShare = 0.06, 0.02
	slotWidth, slotWidthShare      = 0.12, 0.04
	// A tab ends flush with the sheet it goes through within the larger of these.
	flushLeast, flushShare = 0.15, 0.08
	// Joints of one row and size differ in length and in width or depth by no more.
	sameLength, sameSize = 0.1, 0.06
	// Steps of a finger edge are as deep as those of its mate.
	sameSteps = 0.3
	// Of two parts joined by fingers one is at most so many times as thick as the other.
	mostUnequal = 3
	// Differences between slots and tabs that lie in so narrow a band are one play.
	playBand = 0.06

	// A slot drawn or scaled wrongly is from offLow to offHigh of the thickness wide;
	// a step of an edge from stepLow to stepHigh deep (a tab may stand out further
	// than through), a tab that goes through one sheet from throughLow to throughHigh;
	// of those that vote on the depth of tabs from voteLow to voteHigh.
	offLow, offHigh         = 0.75, 1.34
	stepLow, stepHigh       = 0.5, 2.2
	throughLow, throughHigh = 0.75, 1.6
	voteLow, voteHigh       = 0.55, 1.3

	// A notch is deeper than wide by this factor, and a hole as long as this factor of
	// its width has a long side; a slot is as long as longSlot widths. A hole shorter
	// than shortSlot widths may be a slot either way round, for tabs that are from
	// squareLow to squareHigh of its width deep.
	longer                = 1.2
	longSlot              = 1.5
	shortSlot             = 2
	squareLow, squareHigh = 0.85, 1.1

	// Slots side by side are vents: within facing of their widths across, and
	// alongside of their length along.
	facing, alongside = 6.0, 0.1
	// Of notches that lap, lap of their depth is play; their widths agree within
	// twice what one thickness varies by, and lapWidth.
	lap, lapWidth = 0.01, 0.1
	// A slot without a mate belongs with the tab whose length is nearest, within this
	// share of its own.
	partnerShare = 0.15
)

// How sure a pair, or the want of a mate, is, from 0 to 1 (judged, as above): by
// what it was found.
const (
	byRowOfSlots   = 0.95
	byFingers      = 0.9
	byDeck         = 0.9
	byFlushLap     = 0.7
	byLeftOver     = 0.5
	byLap          = 0.4
	noFingers      = 0.8
	noMateAtAll    = 0.9
	fewerMates     = 0.7
	bySelfEvidence = 0.5
)

// within reports whether two lengths differ by no more than the larger of a length
// and a share of the second.
func within(a, b, least, share float64) bool { return math.Abs(a-b) <= max(least, share*b) }
