// Package plate holds flat plates in space: how they lie, how much of one is inside
// another, and whether one can be moved away from another. A plate is a polygon with
// holes in its own plane, of one thickness, from z = 0 upwards. Lengths are mm.
package plate
