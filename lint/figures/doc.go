// Package figures works out what reports tell: counts, sums, the part schedule,
// what each finding measures and where, the estimate and the plan of the cuts. It
// is done once for a drawing; every form of output writes the same values.
//
// Lengths are mm, areas mm2.
package figures
