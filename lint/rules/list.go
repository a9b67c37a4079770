// Package rules holds the checks, a file each, and their one list.
package rules

import "sluice/lint"

// All returns every rule in the order of the manual.
func All() []*lint.Rule {
	return []*lint.Rule{
		openOutline,
		looseMark,
		duplicateSegment,
		strayPiece,
		crossingOutlines,
		sharedEdge,
		narrowSlot,
		thinWeb,
		smallHole,
		noLeadRoom,
		fineDetail,
		smallPart,
		looseSlug,
		closeParts,
		offSheet,
		sheetBorder,
		steppedHole,
		lettering,
		noOutline,
		unitDoubt,
		notFlat,
		curveKind,
		denseCurve,
		liveText,
		unreadEntity,
		slotThickness,
		unmatchedJoint,
		trapped,
		unnumberedPart,
	}
}
