// Package dxf reads DXF drawings of any version, ASCII or binary, and writes
// R2000 ones.
//
// A DXF file is a run of groups: an integer code that says what the value is,
// and the value. Groups with code 0 begin an entity (or a section, a table
// entry, …), and all groups up to the next code 0 belong to it, in any order.
//
// Reading goes in three steps, each in one pass and without holding the file:
//
//	source    bytes -> groups             (ascii.go, quick.go, binary.go, number.go; ahead.go on a core of its own)
//	assembler groups -> records           (assemble.go, record.go; sections.go leads it)
//	converter records -> drawing.Drawing  (convert.go, and a file a type: line.go, …)
//
// What is known of each type of entity stands in one table (types.go).
//
// A record is one entity with its groups as numbers. Records of the entities
// section are converted at once; those of blocks are kept, and converted anew
// for every block reference through its transformation. So there is one path
// from records to strokes, and it takes any transformation of space.
//
// Read recovers what it can and tells in Drawing.Problems what it met;
// ReadStrict returns the first such problem as an error. What group codes mean
// follows the published DXF reference (editions R12 to 2018).
//
// Write puts the text of entities (write.go, tags.go) into what every R2000
// drawing has around them (r2000.go).
package dxf
