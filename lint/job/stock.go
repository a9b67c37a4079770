package job

import (
	"fmt"
	"math"
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

// PartWish says how many are cut of the parts of one number, and how they may be laid
// out, a table [[part]].
type PartWish struct {
	Part  string  // its number or name, several as "1-6"
	Count float64 // of each, where the answers say none; AsDrawn: as many as are drawn
	Turns string  // "none", "half", "quarter" or "free"; "": as [layout] says
	Grain string  // direction in the part that lies along the sheet's grain: "x", "y", or "none" for any; "": x
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

// AsksCounts reports whether the job says of any part how many are cut.
func (j *Job) AsksCounts() bool {
	return slices.ContainsFunc(j.Part, func(w PartWish) bool { return w.Count != AsDrawn })
}

// CountAsked returns what a person has decided of how many are cut of a part, by its
// number or name: in the answers, else in the job; nil for as many as are drawn.
func (j *Job) CountAsked(part string) *PartAnswer {
	if p := j.Answers.OfPart(part); p != nil && p.Count != AsDrawn {
		return p
	}
	if w := j.Wish(part); w != nil && w.Count != AsDrawn {
		return &PartAnswer{Part: part, Count: int(w.Count), Line: w.Line, OfJob: true}
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
			if *p == unset || *p == 0 && !s.zero && (s.kind != length || s.least) {
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
		about: "How many of single parts are cut (0: none), by number (\"1-6\": of each of them), and how they may\n" +
			"be laid out: their turns, their direction along the sheet's grain (\"x\", \"y\" or \"none\"), and their\n" +
			"least distance to other parts. A count in the answers goes before; what else is asked of a part\n" +
			"stands there too:\n" +
			"[[part]]\n" +
			"part = \"12\"\n" +
			"count = 3\n" +
			"turns = \"half\"\n" +
			"grain = \"y\"\n" +
			"gap = \"6mm\"",
		add: func(j *Job, line int) { j.Part = append(j.Part, PartWish{Count: AsDrawn, Line: line}) },
		lines: func(j *Job) (lines []int) {
			for i := range j.Part {
				lines = append(lines, j.Part[i].Line)
			}
			return lines
		},
		keys: []entryKey{
			key("part", setting{kind: text}, func(k *PartWish) any { return &k.Part }),
			key("count", setting{kind: number, most: mostCopies, zero: true}, func(k *PartWish) any { return &k.Count }),
			key("turns", setting{kind: word, words: turnWords()}, func(k *PartWish) any { return &k.Turns }),
			key("grain", setting{kind: word, words: grainWords()}, func(k *PartWish) any { return &k.Grain }),
			key("gap", setting{kind: length, least: true, most: 1000}, func(k *PartWish) any { return &k.Gap }),
		},
		finish: func(r *reader) error {
			for i := range r.job.Part {
				p := &r.job.Part[i]
				p.Part = strings.TrimSpace(p.Part)
				switch {
				case p.Part == "":
					return r.errorf(p.Line, "part: its number is missing; add part = \"12\", as sluice parts lists it")
				case p.Turns == "" && p.Gap == 0 && p.Grain == "" && p.Count == AsDrawn:
					return r.errorf(p.Line, "part: says nothing of part %s; add count, turns, grain or gap", short(p.Part))
				case p.Count != math.Trunc(p.Count):
					return r.errorf(p.Line, "part.count: %g is no count; write how many are cut", p.Count)
				case p.Grain != "" && p.Grain != "none" && r.job.Layout.Grain == "none":
					return r.errorf(p.Line, "part.grain: the sheet has no grain; add grain = \"x\" to [layout], or take it out")
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

// grainWords are the directions of a grain.
func grainWords() []string { return []string{"none", "x", "y"} }

// GrainOf returns the direction in a part that must lie along the grain of its sheet,
// degrees; ok is false where any will do.
func (j *Job) GrainOf(part string) (deg float64, ok bool) {
	if w := j.Wish(part); w != nil {
		switch w.Grain {
		case "none":
			return 0, false
		case "y":
			return 90, true
		}
	}
	return 0, true
}

// turnWords are the ways in which parts may be turned.
func turnWords() []string { return []string{"none", "half", "quarter", "free"} }

// degreesOf returns the turns that a word allows; where any will do, quarters at least.
func degreesOf(word string) []float64 {
	step := map[string]float64{"none": 360, "half": 180}[word]
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
// which. free says that any will do.
func (j *Job) TurnsOf(part string) (turns []float64, free bool) {
	word := j.Layout.Turns
	if w := j.Wish(part); w != nil && w.Turns != "" {
		word = w.Turns
	}
	_, grained := j.GrainOf(part)
	switch grained = grained && j.Layout.Grain != "none"; {
	case grained && word == "none":
		return []float64{0}, false
	case grained:
		return nil, false
	}
	return degreesOf(word), word == "free"
}
