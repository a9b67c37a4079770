// Package index finds things by place, and tells which belong together. It is
// the one room for what every other package would else write for itself:
//
//   - Tree, PieceTree: boxes or pieces of any size, given all at once; what
//     reaches into a box, what is nearest, which pairs come near each other.
//   - Grid, Search: pieces of like size, given all at once, in square cells that
//     lie side by side in memory; the fastest where most cells hold a piece or two.
//   - Cells: values in the cells of a grid without bounds, added one by one.
//   - Points: places, those within a tolerance of each other made one.
//   - Sets: disjoint sets (union-find).
//   - Table: lists of numbers by hashed key, the ground of Cells and Points.
//   - Morton, ZOrder: places in an order that keeps neighbours together.
//
// Lengths and coordinates are mm; tolerances are arguments. Things are known by
// their number, which the caller gives meaning to, most often as an index into a
// slice of its own. Nothing is copied that is handed in, unless said: boxes and
// pieces must stay as they are while an index over them is in use.
//
// A visitor returns whether to go on: after a false return it is not called again,
// and the method that calls it returns false too. Things are visited in an order
// that is the same on every machine and in every run, and that is told where it
// means something.
//
// What is built at once (Tree, PieceTree, Grid) may be asked by many goroutines at
// a time; a Search, and what grows (Cells, Points, Sets, Table), serves one.
// Coordinates that are not finite are found nowhere, and break nothing.
package index
