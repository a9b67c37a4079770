// Package fit makes slotted parts suit another sheet: it moves the walls of
// slots, notches and tabs, scales a whole kit, and opens inside corners so that
// tabs can seat. All functions are pure: they return new paths and repairs as
// data.
//
// Lengths are mm. Paths are closed and have their material to the left. Sides
// are those of package side; one is moved outward (to the right of its direction
// of travel) by a positive distance.
//
// Widening keeps the middle plane of every sheet where it is, so that all parts
// still meet: slots and notches grow about their centre line, a tab grows at its
// end and at its shoulders by half the difference each.
//
//	       before            after
//	    ___                ____
//	   |   |              |    |   half outwards
//	___|   |___           |    |
//	                   ___|    |___  half inwards
package fit
