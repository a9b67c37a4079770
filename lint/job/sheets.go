package job

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// SheetKind is one of several sheets that a job is cut from, a table [[sheet]].
// What a table leaves out is as in that of the main sheet.
type SheetKind struct {
	Name      string
	Material  string
	Thickness float64   // mm; 0: unset
	Size      []float64 // width and height, mm; empty: unset
	Origin    string    // of the main sheet alone: "zero" or "drawing"
	Margin    float64   // mm
	Count     float64   // how many there are; 0: as many as [layout] sheets says
	Price     float64   // of one; 0: unset
	Parts     []string  // those cut from it, "12" or "1-6"; empty: all that no other takes
	Line      int       // of the job file
}

// unset stands for a margin that a table has left out while it is read.
const unset = -1.0

// Sheets returns the sheets of the job in the order of the file, the main one as
// it is in force. There is always one.
func (j *Job) Sheets() []SheetKind {
	out := slices.Clone(j.SheetList)
	if len(out) == 0 {
		out = []SheetKind{{}}
	}
	m := &out[j.MainSheet()]
	m.Material, m.Thickness, m.Size, m.Origin, m.Margin = j.Sheet.Material, j.Sheet.Thickness, j.Sheet.Size, j.Sheet.Origin, j.Sheet.Margin
	m.Price = j.Cost.SheetPrice
	return out
}

// MainSheet returns which of Sheets is the main one, the one that stands in
// Job.Sheet: the first that takes all parts no other takes, else the first.
func (j *Job) MainSheet() int {
	return max(0, slices.IndexFunc(j.SheetList, func(s SheetKind) bool { return len(s.Parts) == 0 }))
}

// SheetOf returns which of Sheets a part is cut from, by its number or name: the one
// that lists it, else the main one.
func (j *Job) SheetOf(part string) int {
	if i := slices.IndexFunc(j.SheetList, func(s SheetKind) bool { return s.Takes(part) }); i >= 0 {
		return i
	}
	return j.MainSheet()
}

// ThicknessOf returns the thickness of the sheet that a part is cut from, mm; 0:
// unset.
func (j *Job) ThicknessOf(part string) float64 {
	if i := j.SheetOf(part); i != j.MainSheet() {
		return j.SheetList[i].Thickness
	}
	return j.Sheet.Thickness
}

// Thicknesses returns the thicknesses of all sheets that state one, each once,
// ascending, mm.
func (j *Job) Thicknesses() []float64 {
	var out []float64
	for _, s := range j.Sheets() {
		if s.Thickness > 0 {
			out = append(out, s.Thickness)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// OnSheet returns the job as it is for what is cut from sheet i of Sheets: that one
// is its only sheet.
func (j *Job) OnSheet(i int) *Job {
	s := j.Sheets()[i]
	own := *j
	own.SheetList = nil
	own.Sheet = Sheet{s.Material, s.Thickness, s.Size, j.Sheet.Origin, s.Margin}
	own.Cost.SheetPrice = s.Price
	return &own
}

// Title is what messages call sheet i, from 0.
func (s *SheetKind) Title(i int) string {
	if s.Name != "" {
		return s.Name
	}
	return "sheet " + strconv.Itoa(i+1)
}

// Takes reports whether the sheet lists a part, by its number or name.
func (s *SheetKind) Takes(part string) bool {
	n, isNumber := partNumber(part)
	return slices.ContainsFunc(s.Parts, func(listed string) bool {
		if from, to, ok := partRange(listed); ok {
			return isNumber && n >= from && n <= to
		}
		return strings.EqualFold(listed, part)
	})
}

// partNumber reads the number of a part; ok is false for one with a name.
func partNumber(s string) (n int, ok bool) {
	n, err := strconv.Atoi(s)
	return n, err == nil && n > 0 && n < math.MaxInt32
}

// partRange reads "1-6".
func partRange(s string) (from, to int, ok bool) {
	a, b, ok := strings.Cut(s, "-")
	if !ok {
		return 0, 0, false
	}
	from, is := partNumber(strings.TrimSpace(a))
	to, are := partNumber(strings.TrimSpace(b))
	return from, to, is && are
}

// partSpan returns the numbers that an item of parts stands for, alike where it is
// one; ok is false for a name.
func partSpan(s string) (from, to int, ok bool) {
	if from, to, ok = partRange(s); ok {
		return from, to, true
	}
	n, ok := partNumber(s)
	return n, n, ok
}

// shared returns a part that both lists name, "" if there is none.
func shared(a, b []string) string {
	for _, x := range a {
		xFrom, xTo, xNumber := partSpan(x)
		for _, y := range b {
			yFrom, yTo, yNumber := partSpan(y)
			switch {
			case xNumber && yNumber:
				if from := max(xFrom, yFrom); from <= min(xTo, yTo) {
					return strconv.Itoa(from)
				}
			case strings.EqualFold(x, y):
				return x
			}
		}
	}
	return ""
}

// partList reads a list of parts: numbers, ranges of numbers, and names.
func partList(v value) (list []string, err error) {
	const form = `write parts as the schedule numbers them, such as ["1-6", "12", "20"]`
	if v.kind != unstable.Array {
		return nil, fmt.Errorf("%s is no list; %s", v.shown(), form)
	}
	for _, item := range v.items {
		t := item.text
		if item.kind != unstable.Integer {
			if t, err = item.line(); err != nil {
				return nil, err
			}
		}
		t = strings.TrimSpace(t)
		if from, to, ok := partRange(t); ok && from > to {
			return nil, fmt.Errorf("%s runs backwards; write \"%d-%d\"", item.shown(), to, from)
		}
		if t == "" {
			return nil, fmt.Errorf("%s is no part; %s", item.shown(), form)
		}
		if slices.Contains(list, t) {
			return nil, fmt.Errorf("%s stands twice; take one out", item.shown())
		}
		list = append(list, t)
	}
	if len(list) == 0 {
		return nil, errors.New("is empty; leave it out for a sheet that takes all other parts")
	}
	return list, nil
}

// sheetKey is a key of a sheet that is read and printed as a setting is; of the main
// one what is in force is printed.
func sheetKey(name string, s setting, at func(k *SheetKind) any) entryKey {
	k := structKey(name, s, func(j *Job) int { return len(j.SheetList) }, func(j *Job, n int) any { return at(&j.SheetList[n]) })
	printed := k.printed
	k.printed = func(j *Job, n int) string {
		own := *j
		own.SheetList = j.Sheets()
		return printed(&own, n)
	}
	return k
}

func sheetTable() entryTable {
	return entryTable{
		name: "sheet",
		about: "Several sheets in the place of the one of [sheet]: each with its own keys, and the parts, by\n" +
			"number, that are cut from it. One may leave them out: it takes all others, and what other sheets\n" +
			"do not state is as there. count is how many there are, price that of one:\n" +
			"[[sheet]]\n" +
			"name = \"3 mm plate\"\n" +
			"material = \"aluminium 5052\"\n" +
			"thickness = \"3mm\"\n" +
			"size = [\"1220mm\", \"610mm\"]\n" +
			"[[sheet]]\n" +
			"thickness = \"5mm\"\n" +
			"count = 1\n" +
			"price = 90\n" +
			"parts = [\"1-6\", \"12\", \"20\"]",
		add: func(j *Job, line int) { j.SheetList = append(j.SheetList, SheetKind{Margin: unset, Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.SheetList {
				lines = append(lines, j.SheetList[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			sheetKey("name", setting{kind: text}, func(k *SheetKind) any { return &k.Name }),
			sheetKey("material", setting{kind: text}, func(k *SheetKind) any { return &k.Material }),
			sheetKey("thickness", setting{kind: optional, most: 1000}, func(k *SheetKind) any { return &k.Thickness }),
			sheetKey("size", setting{kind: size}, func(k *SheetKind) any { return &k.Size }),
			sheetKey("origin", setting{kind: word, words: []string{"zero", "drawing"}}, func(k *SheetKind) any { return &k.Origin }),
			sheetKey("margin", setting{kind: length}, func(k *SheetKind) any { return &k.Margin }),
			sheetKey("count", setting{kind: number, low: 1, most: 1000}, func(k *SheetKind) any { return &k.Count }),
			sheetKey("price", setting{kind: number, most: 1e9}, func(k *SheetKind) any { return &k.Price }),
			{"parts", func(r *reader, v value) (err error) {
				r.job.SheetList[len(r.job.SheetList)-1].Parts, err = partList(v)
				return err
			}, func(j *Job, n int) string {
				var items []string
				for _, p := range j.SheetList[n].Parts {
					items = append(items, tomlString(p))
				}
				if len(items) == 0 {
					return ""
				}
				return tomlList("parts", items)
			}},
		},
		finish: (*reader).finishSheets,
	}
}

// finishSheets makes the main sheet that of the job, gives the others what they leave
// out, and refuses two that take one part.
func (r *reader) finishSheets() error {
	j := r.job
	if len(j.SheetList) == 0 {
		return nil
	}
	main := j.MainSheet()
	m := &j.SheetList[main]
	m.Origin = cmp.Or(m.Origin, j.Sheet.Origin)
	if m.Margin == unset {
		m.Margin = j.Sheet.Margin
	}
	if m.Price == 0 {
		m.Price = j.Cost.SheetPrice
	}
	for i := range j.SheetList {
		s := &j.SheetList[i]
		if i != main && s.Origin != "" {
			return r.errorf(s.Line, "sheet: origin stands with the main sheet alone, on line %d; take it out here", m.Line)
		}
		s.Material, s.Thickness = cmp.Or(s.Material, m.Material), cmp.Or(s.Thickness, m.Thickness)
		if len(s.Size) == 0 {
			s.Size = m.Size
		}
		if s.Margin == unset {
			s.Margin = m.Margin
		}
		if len(s.Size) == 2 && min(s.Size[0], s.Size[1]) <= 2*s.Margin {
			return r.errorf(s.Line, "sheet.margin: leaves nothing of the sheet; make it less than half of the shorter side of its size")
		}
		if err := r.apart(i); err != nil {
			return err
		}
	}
	j.Sheet = Sheet{m.Material, m.Thickness, m.Size, m.Origin, m.Margin}
	j.Cost.SheetPrice = m.Price
	return nil
}

// apart refuses sheet i where one before it takes the same parts.
func (r *reader) apart(i int) error {
	s := &r.job.SheetList[i]
	for k := range r.job.SheetList[:i] {
		o := &r.job.SheetList[k]
		switch part := shared(s.Parts, o.Parts); {
		case part != "":
			return r.errorf(s.Line, "sheet.parts: part %s is listed by %s on line %d and by %s; take it out of one of them",
				short(part), quote(o.Title(k)), o.Line, quote(s.Title(i)))
		case len(s.Parts) == 0 && len(o.Parts) == 0:
			return r.errorf(s.Line, "sheet: %s on line %d and %s both take all other parts; add parts = [\"1-6\", \"12\"] to one of them",
				quote(o.Title(k)), o.Line, quote(s.Title(i)))
		}
	}
	return nil
}
