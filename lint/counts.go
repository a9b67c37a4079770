package lint

import (
	"strconv"

	"sluice/geom/drawing"
)

// Tally counts findings by severity.
type Tally struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
	Note    int `json:"note"`
}

// TallyOf counts the findings.
func TallyOf(fs []Finding) Tally {
	var t Tally
	for i := range fs {
		switch fs[i].Severity {
		case Error:
			t.Error++
		case Warning:
			t.Warning++
		case Note:
			t.Note++
		}
	}
	return t
}

// Plus returns both counts together.
func (t Tally) Plus(u Tally) Tally {
	return Tally{t.Error + u.Error, t.Warning + u.Warning, t.Note + u.Note}
}

// Sum returns the number of findings of any severity.
func (t Tally) Sum() int { return t.Error + t.Warning + t.Note }

// Worst returns the gravest severity that occurs, Off if none does.
func (t Tally) Worst() Severity {
	switch {
	case t.Error > 0:
		return Error
	case t.Warning > 0:
		return Warning
	case t.Note > 0:
		return Note
	}
	return Off
}

// Counts are the totals of a drawing. Unread are the entities of which no outline
// is known or whose layer is hidden, each once.
type Counts struct {
	Entities, Outlines, Parts, Holes, Unread int
}

// Counts counts what a drawing holds; nothing for one that could not be read.
func (r *Result) Counts() Counts {
	var c Counts
	if r == nil {
		return c
	}
	if r.Brief != nil {
		return r.Brief.Counts
	}
	if d := r.Drawing; d != nil {
		c.Entities = len(d.Entities)
		seen := map[int32]bool{}
		for i := range d.Notices {
			if n := &d.Notices[i]; n.Kind == drawing.Unread || n.Kind == drawing.Hidden {
				seen[n.Entity] = true
			}
		}
		c.Unread = len(seen)
	}
	if s := r.Sheet; s != nil {
		c.Outlines, c.Parts = len(s.Outlines), len(s.Parts)
		for i := range s.Outlines {
			if s.Outlines[i].Hole() {
				c.Holes++
			}
		}
	}
	return c
}

// Unit returns the settled unit of the drawing, false if there is none.
func (r *Result) Unit() (drawing.Unit, bool) {
	var u drawing.Unit
	switch {
	case r == nil || r.Err != nil:
		return u, false
	case r.Brief != nil:
		u = r.Brief.Unit
	case r.Drawing != nil:
		u = r.Drawing.Unit
	}
	return u, u.Name != ""
}

// Inches tells whether figures are to be told in inches and pounds: as the job says,
// else where it or the drawing is in inches or feet.
func (r *Result) Inches() bool {
	u, ok := r.Unit()
	inches := ok && (u.Name == "in" || u.Name == "ft")
	if r == nil || r.Job == nil {
		return inches
	}
	return r.Job.Inches(inches)
}

// Name returns the label of part i of the sheet, "" if it has none.
func (r *Result) Name(i int) string {
	if i < len(r.Names) && r.Names[i] != "" {
		return r.Names[i]
	}
	if n := r.Sheet.Parts[i].Number; n > 0 {
		return strconv.Itoa(n)
	}
	return ""
}
