// Package version holds the version of the program.
package version

// Number is the version of the program, as its outputs state it.
const Number = "0.1.0"
