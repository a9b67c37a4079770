// Package kit looks at the parts of a drawing as a kit that slots together:
// its joints, the thickness it was drawn for, which parts can meet, what is
// missing, and in which order it goes together.
//
// Terms:
//
//	slot    a long closed hole with square ends: a tab of another part goes in
//	notch   a deep cut open to one side, as wide as the sheet: two parts with a
//	        notch each lap crosswise
//	tab     a piece that stands out of an edge, about as far as the sheet is thick
//	gap     the opposite: an edge set back by the thickness, between two shoulders
//	step    a place where an edge goes out or in by the thickness
//	edge    the steps along one line of a part; with several it is a finger edge,
//	        and its mate has the same steps the other way round
//
//	  slot            tab          gap           notch
//	 ┌───────┐      ┌─────┐    ──┐     ┌──      ──┐ ┌──
//	 └───────┘   ───┘     └─── ──└─────┘──        │ │
//	                                              └─┘
//
// All lengths are mm. What is found is likely, never certain: a drawing holds
// shapes, and what was meant by them is a guess. Every guess carries a measure
// of certainty from 0 to 1.
package kit
