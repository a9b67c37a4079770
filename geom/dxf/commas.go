package dxf

import "fmt"

// commas counts the numbers written with a decimal comma: a file that has one
// mostly has thousands, and one line says it.
type commas struct {
	n    int
	line int    // of the first
	text string // the first, and how it was read
}

// met takes a number that was read as v.
func (c *commas) met(rd *reader, g *group, v float64) error {
	if c.n++; c.n == 1 {
		c.line, c.text = g.line, quote(g.val)+" is read as "+ftoa(v)
	}
	if rd.strict {
		return c.tell(rd)
	}
	return nil
}

// tell reports what was met, once for the file.
func (c *commas) tell(rd *reader) error {
	text := "decimal comma: "
	switch {
	case c.n == 0:
		return nil
	case c.n > 1:
		text = fmt.Sprintf("decimal commas in %d lines, the first here: ", c.n)
	}
	return rd.problem("decimal-comma", c.line, false, text+c.text)
}
