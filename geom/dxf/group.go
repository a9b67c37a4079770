package dxf

// group is one code with its value. Val is only good until the next group is
// read.
type group struct {
	code  int
	val   []byte  // ASCII: the value without blanks around it; binary: text only
	num   float64 // the number, where isNum
	isNum bool    // num is set: always in binary, where it was read along with the line in ASCII
	start int     // line of the code
	line  int     // line of the value, from 1; in binary files the group's ordinal
	bad   bool    // the group stands after lines that made no sense (see source)
}

// float returns the value as a number.
func (g *group) float() (float64, numberState) {
	if g.isNum {
		return g.num, numberOK
	}
	return parseFloat(g.val)
}

// int returns the value as a whole number; some programs write whole numbers
// with a fraction.
func (g *group) int() (int, bool) {
	if !g.isNum {
		if v, ok := parseInt(g.val); ok {
			return v, true
		}
	}
	f, st := g.float()
	if st == numberBad || !(f > -2e9 && f < 2e9) {
		return 0, false
	}
	return int(f), true
}

// source yields groups in turn.
//
// next returns false at the end of the file, or where err is set. Where lines
// make no sense as groups it skips to the next that do and marks the group
// found as bad, with badLine the first senseless line.
type source interface {
	next(g *group) bool
	state() *sourceState
}

// sourceState is what is known of the source besides its groups.
type sourceState struct {
	err     error // a read error, or a line above the bound
	line    int   // lines (groups) read
	read    int64 // bytes taken from the file, some of them ahead
	badLine int   // of the group last marked bad
	partial bool  // the end came within a group
	between bool  // the end came behind a code 0, so that the record before is whole
	open    bool  // the last line had no line end
}
