// Package assembly rebuilds a kit of flat parts in space from its joints, and finds an
// order in which it can be put together by taking it apart again.
//
// A joint fixes the place of one part on another up to a few cases: from which side a tab
// enters, which face is up. Every open joint of what stands proposes where parts may go;
// proposals that several joints make count for more, and the one that most joints agree on
// is taken, unless the part would be inside another there; of those alike the one that
// other proposals bear out. Parts alike are one shape with copies. Where joints stay open
// the kit is put together in other ways, most of them by taking apart what is about an
// open joint, a bounded number of times.
//
// The order is found from the whole kit: what can be moved straight out of it goes last.
// Where no part can go alone, parts that block each other in a circle go together
// (blocking graphs, after Wilson and Latombe, "Geometric reasoning about mechanical
// assembly", Artificial Intelligence 71, 1994; from memory).
package assembly
