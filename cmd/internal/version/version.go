// Package version holds the version of the program.
package version

// Number is the version of the program, as its outputs state it.
const Number = "0.1.0"

// Engine is what the program as a page holds it bears in its bytes, so that it is known
// for what it is before it is put into one.
const Engine = "sluice for pages, " + Number
