// Package outline turns loose strokes into outlines and parts.
//
// Terms, in the order in which they come about:
//
//	end       either end of a stroke
//	node      ends nearer than the joining tolerance, taken as one place
//	leaf      a node with one end: a free end
//	junction  a node with more than two ends
//
//	   leaf o----------+ node          T-joint: an end that meets the inside
//	                   |                        of another stroke, which is
//	         ----------o junction               split there
//	                   |
//
//	chain     strokes joined end to end between leaves and junctions
//	gap       two leaves nearer than the gap tolerance, or a lone leaf
//	landing   a place on the inside of a piece at which a leaf just short of it,
//	          or just past it, is to end
//	tail      a chain that hangs on a closed outline by one end; shorter than
//	          the kerf it is a stray
//	bridge    the straight piece that stands in for a gap while judging
//	outline   a chain that closes on itself
//	part      an outermost outline with the holes in it; an outline inside a
//	          hole is again a part
//	mark      an open path on an etch layer, or an open path that the drawing
//	          leaves undecided (a loose mark)
//
// What geometry libraries call these:
//
//	noding     splitting strokes where they meet, so that they share nodes
//	half-edge  a stretch of a stroke between two nodes, run one way; its twin
//	           runs the other way (doubly connected edge list)
//	dangle     what hangs free by one end: an open chain, a tail, a stray
//	2-core     what is left when dangles are taken away, again and again
//	face       a region that half-edges run round, each with the face on its left
//
// Build goes from stage to stage; what each needs and gives is told there.
// weights.go holds the figures by which free ends find their mates.
//
// Outlines are run counter-clockwise around parts and clockwise around holes,
// so that material always lies to the left of the direction of travel.
package outline
