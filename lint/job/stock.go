package job

import (
	"fmt"
	"slices"
	"strings"
)

// Stock is a piece of sheet that is at hand besides whole sheets, such as an offcut,
// a table [[stock]]. The cheapest is used first.
type Stock struct {
	Name      string
	File      string    // drawing of its outline, with holes that were cut out of it; "": a rectangle
	Material  string    // "": as the file says, else that of the main sheet
	Thickness float64   // mm; 0: the same
	Size      []float64 // width and height, mm; empty where there is a file
	Margin    float64   // mm
	Count     float64   // how many there are
	Price     float64   // of one; 0: paid already
	Line      int       // of the job file
}

// Title is what messages call piece i of the stock, from 0.
func (s *Stock) Title(i int) string {
	switch {
	case s.Name != "":
		return s.Name
	case s.File != "":
		return s.File
	}
	return fmt.Sprintf("stock %d", i+1)
}

// PartWish says how the parts of one number may be laid out, a table [[part]].
type PartWish struct {
	Part  string  // its number or name, several as "1-6"
	Turns string  // "none", "half", "quarter" or "free"; "": as [layout] says
	Gap   float64 // least distance to other parts, mm; 0: as [layout] says
	Line  int     // of the job file
}

// Wish returns how a part may be laid out, by its number or name; nil: as all.
func (j *Job) Wish(part string) *PartWish {
	for i := range j.Part {
		if k := (SheetKind{Parts: []string{j.Part[i].Part}}); k.Takes(part) {
			return &j.Part[i]
		}
	}
	return nil
}

// LayoutGap returns the least distance between parts that are laid out, mm: that of
// [layout] gap, else MovedSpacing.
func (j *Job) LayoutGap() float64 {
	if j.Layout.Gap > 0 {
		return j.Layout.Gap
	}
	return j.MovedSpacing()
}

// structKey is a key of a table that is read and printed as a setting is; at returns
// the field of entry n, and what is zero there is not printed.
func structKey(name string, s setting, count func(j *Job) int, at func(j *Job, n int) any) entryKey {
	s.key = name
	of := func(n int) *setting {
		own := s
		own.at = func(j *Job) any { return at(j, n) }
		return &own
	}
	return entryKey{name, func(r *reader, v value) error {
		return of(count(r.job)-1).put(r.job, v)
	}, func(j *Job, n int) string {
		switch p := at(j, n).(type) {
		case *string:
			if *p == "" {
				return ""
			}
		case *float64:
			if *p == unset || *p == 0 && (s.kind != length || s.least) {
				return ""
			}
		case *[]float64:
			if len(*p) == 0 {
				return ""
			}
		}
		return of(n).printed(j)
	}}
}

func stockTable() entryTable {
	key := func(name string, s setting, at func(k *Stock) any) entryKey {
		return structKey(name, s, func(j *Job) int { return len(j.Stock) }, func(j *Job, n int) any { return at(&j.Stock[n]) })
	}
	return entryTable{
		name: "stock",
		about: "Offcuts and other pieces at hand, used by fix --layout before or after whole sheets: the cheapest\n" +
			"first, the dearest last. Each has a size, or a file with its outline, as fix --offcut writes it;\n" +
			"it takes parts of its thickness and material alone:\n" +
			"[[stock]]\n" +
			"file = \"offcut.dxf\"\n" +
			"[[stock]]\n" +
			"name = \"strip\"\n" +
			"size = [\"1200mm\", \"180mm\"]\n" +
			"thickness = \"3mm\"\n" +
			"price = 12\n" +
			"count = 2",
		add: func(j *Job, line int) { j.Stock = append(j.Stock, Stock{Margin: unset, Count: 1, Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.Stock {
				lines = append(lines, j.Stock[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			key("name", setting{kind: text}, func(k *Stock) any { return &k.Name }),
			key("file", setting{kind: text}, func(k *Stock) any { return &k.File }),
			key("material", setting{kind: text}, func(k *Stock) any { return &k.Material }),
			key("thickness", setting{kind: optional, most: 1000}, func(k *Stock) any { return &k.Thickness }),
			key("size", setting{kind: size}, func(k *Stock) any { return &k.Size }),
			key("margin", setting{kind: length}, func(k *Stock) any { return &k.Margin }),
			key("count", setting{kind: number, low: 1, most: 1000}, func(k *Stock) any { return &k.Count }),
			key("price", setting{kind: number, most: 1e9}, func(k *Stock) any { return &k.Price }),
		},
		finish: (*reader).finishStock,
	}
}

// finishStock checks that each piece of stock has one form and leaves room.
func (r *reader) finishStock() error {
	for i := range r.job.Stock {
		s := &r.job.Stock[i]
		if s.Margin == unset {
			s.Margin = r.job.Sheet.Margin
		}
		switch {
		case s.File == "" && len(s.Size) == 0:
			return r.errorf(s.Line, "stock: its form is missing; add size = [\"1200mm\", \"180mm\"], or file = \"offcut.dxf\"")
		case s.File != "" && len(s.Size) > 0:
			return r.errorf(s.Line, "stock: the file says its size already; take size out")
		case len(s.Size) == 2 && min(s.Size[0], s.Size[1]) <= 2*s.Margin:
			return r.errorf(s.Line, "stock.margin: leaves nothing of it; make it less than half of the shorter side of its size")
		}
	}
	return nil
}

func partTableOfJob() entryTable {
	key := func(name string, s setting, at func(k *PartWish) any) entryKey {
		return structKey(name, s, func(j *Job) int { return len(j.Part) }, func(j *Job, n int) any { return at(&j.Part[n]) })
	}
	return entryTable{
		name: "part",
		about: "How single parts may be laid out, by number (\"1-6\" for several): their turns, and their least\n" +
			"distance to other parts. What a part is otherwise asked for stands in the answers:\n" +
			"[[part]]\n" +
			"part = \"12\"\n" +
			"turns = \"half\"\n" +
			"gap = \"6mm\"",
		add: func(j *Job, line int) { j.Part = append(j.Part, PartWish{Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.Part {
				lines = append(lines, j.Part[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			key("part", setting{kind: text}, func(k *PartWish) any { return &k.Part }),
			key("turns", setting{kind: word, words: turnWords()}, func(k *PartWish) any { return &k.Turns }),
			key("gap", setting{kind: length, least: true, most: 1000}, func(k *PartWish) any { return &k.Gap }),
		},
		finish: func(r *reader) error {
			for i := range r.job.Part {
				p := &r.job.Part[i]
				p.Part = strings.TrimSpace(p.Part)
				switch {
				case p.Part == "":
					return r.errorf(p.Line, "part: its number is missing; add part = \"12\", as sluice parts lists it")
				case p.Turns == "" && p.Gap == 0:
					return r.errorf(p.Line, "part: says nothing of part %s; add turns or gap", short(p.Part))
				case p.Gap > 0 && p.Gap < r.job.Jet.Kerf:
					return r.errorf(p.Line, "part.gap: less than the kerf, so that one cut would take from the part beside it; make it larger")
				}
				for k := range r.job.Part[:i] {
					if x := shared([]string{p.Part}, []string{r.job.Part[k].Part}); x != "" {
						return r.errorf(p.Line, "part: part %s stands on line %d already; take one out", short(x), r.job.Part[k].Line)
					}
				}
			}
			return nil
		},
	}
}

// turnWords are the ways in which parts may be turned.
func turnWords() []string { return []string{"none", "half", "quarter", "free"} }

// freeStep is by how much, degrees, parts are turned at a time where any turn will do.
const freeStep = 15

// degreesOf returns the turns that a word allows.
func degreesOf(word string) []float64 {
	step := map[string]float64{"none": 360, "half": 180, "free": freeStep}[word]
	if step == 0 {
		step = 90
	}
	var out []float64
	for t := 0.0; t < 360; t += step {
		out = append(out, t)
	}
	return out
}

// TurnsOf returns the turns that a part may take, degrees; nil where the grain says
// which.
func (j *Job) TurnsOf(part string) []float64 {
	if w := j.Wish(part); w != nil && w.Turns != "" {
		turns := degreesOf(w.Turns)
		if j.Layout.Grain != "none" { // never across it
			turns = slices.DeleteFunc(turns, func(t float64) bool { return t != 0 && t != 180 })
			if len(turns) == 2 {
				return nil
			}
		}
		return turns
	}
	return j.Layout.Degrees()
}
