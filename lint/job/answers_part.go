package job

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"sluice/geom"
)

// AsDrawn is the count of a part that nobody has given another.
const AsDrawn = -1

// mostCopies bounds the count that a part may be given.
const mostCopies = 10_000

// PartAnswer is what a person has decided of a part: of all that carry its number.
type PartAnswer struct {
	Part   string       // its number in the drawing as read
	About  string       // for people; not read
	Count  int          // how many of it are cut, AsDrawn for as many as are drawn
	Tabs   TabWish      // how it is held
	Label  []geom.Point // where its number goes, mm: the middle of the text; none: where there is room
	Name   string       // a name of its own
	Face   string       // "front" or "back": on which its number is read; "": as the job says
	Corner *geom.Point  // where the drawing's corner was when places were given, mm; nil: they are the drawing's
	Pins   []*Pin       // where those of it lie in a layout, as they are drawn in reading order, copies last; nil: where the search puts it
	Line   int          // of the file
	OfJob  bool         // it stands in the job file, not in the answers
}

// TabWish says how a part is held: not at all, by so many tabs, or at places.
type TabWish struct {
	Set    bool
	Number int          // of tabs; 0 with no places: none
	At     []geom.Point // places near its outline, mm; others of the part stay as they are
}

// partTable is the form of such an answer in the file.
type partTable struct {
	Part   any    `toml:"part"`
	About  string `toml:"about"`
	Count  *int64 `toml:"count"`
	Tabs   any    `toml:"tabs"`
	Label  any    `toml:"label"`
	Name   string `toml:"name"`
	Face   string `toml:"face"`
	Corner string `toml:"corner"`
	At     any    `toml:"at"`
	Turn   any    `toml:"turn"`
	Sheet  any    `toml:"sheet"`
}

var partKeys = []string{"part", "about", "count", "tabs", "label", "name", "face", "corner", "at", "turn", "sheet"}

// read turns the table into an answer. The error says what is wrong, without where.
func (t *partTable) read() (PartAnswer, error) {
	p := PartAnswer{About: t.About, Count: AsDrawn, Name: strings.TrimSpace(t.Name)}
	switch v := t.Part.(type) {
	case string:
		p.Part = strings.TrimSpace(v)
	case int64:
		p.Part = strconv.FormatInt(v, 10)
	}
	if p.Part == "" {
		return p, fmt.Errorf("part: the number is missing; add part = \"its number\", as sluice parts lists it")
	}
	if t.Count != nil {
		if *t.Count < 0 || *t.Count > mostCopies {
			return p, fmt.Errorf("count: %d is no count; write how many are cut, 0 to leave the part out, %d at most", *t.Count, mostCopies)
		}
		p.Count = int(*t.Count)
	}
	var err error
	if p.Tabs, err = readTabWish(t.Tabs); err != nil {
		return p, err
	}
	if p.Label, err = readPlaces("label", t.Label); err != nil {
		return p, err
	}
	switch p.Face = strings.ToLower(strings.TrimSpace(t.Face)); p.Face {
	case "", "front", "back":
	default:
		return p, fmt.Errorf("face: %s is no face; did you mean %q? (front, back)", quote(t.Face), Nearest(p.Face, []string{"front", "back"}))
	}
	if t.Corner != "" {
		at, err := readPlace("corner", t.Corner)
		if err != nil {
			return p, err
		}
		p.Corner = &at
	}
	p.Pins, err = t.pins()
	return p, err
}

// readTabWish reads "none", a number, or a list of places.
func readTabWish(v any) (w TabWish, err error) {
	switch v := v.(type) {
	case nil:
		return w, nil
	case int64:
		if v < 0 || v > 100 {
			return w, fmt.Errorf("tabs: %d is no number of tabs; write 0 to 100", v)
		}
		return TabWish{Set: true, Number: int(v)}, nil
	case string:
		if strings.EqualFold(strings.TrimSpace(v), "none") {
			return TabWish{Set: true}, nil
		}
		if !strings.Contains(v, ",") {
			return w, fmt.Errorf("tabs: %s is not understood; write \"none\", a number, or places on the outline such as [\"120mm,33mm\"]", quote(v))
		}
	}
	at, err := readPlaces("tabs", v)
	return TabWish{Set: true, Number: len(at), At: at}, err
}

// readPlaces reads a place or a list of them.
func readPlaces(key string, v any) (at []geom.Point, err error) {
	switch v := v.(type) {
	case nil:
		return nil, nil
	case string:
		p, err := readPlace(key, v)
		return []geom.Point{p}, err
	case []any:
		for _, x := range v {
			s, ok := x.(string)
			if !ok {
				return nil, fmt.Errorf("%s: %v is no place; write \"x,y\" with units, such as \"120mm,33mm\"", key, x)
			}
			p, err := readPlace(key, s)
			if err != nil {
				return nil, err
			}
			at = append(at, p)
		}
		return at, nil
	}
	return nil, fmt.Errorf("%s: %v is no place; write \"x,y\" with units, such as \"120mm,33mm\"", key, v)
}

func readPlace(key, s string) (geom.Point, error) {
	x, y, ok := strings.Cut(s, ",")
	if !ok || strings.Contains(y, ",") {
		return geom.Point{}, fmt.Errorf("%s: %s is no place; write \"x,y\" with units, such as \"120mm,33mm\"", key, quote(s))
	}
	var v [2]float64
	for i, t := range [2]string{x, y} {
		t = strings.TrimSpace(t)
		size, negative := strings.CutPrefix(t, "-")
		f, err := ParseLength(size)
		if err != nil {
			return geom.Point{}, fmt.Errorf("%s: %w", key, err)
		}
		if negative {
			f = -f
		}
		if math.Abs(f) > 1e7 {
			return geom.Point{}, fmt.Errorf("%s: %s is too far away", key, quote(s))
		}
		v[i] = f
	}
	return geom.Pt(v[0], v[1]), nil
}

// readParts takes over the answers to parts of a file.
func (a *Answers) readParts(tables []partTable, lines []int) error {
	for i := range tables {
		line := 0
		if i < len(lines) {
			line = lines[i]
		}
		p, err := tables[i].read()
		if err != nil {
			return fmt.Errorf("%s:%d: %w", a.Path, line, err)
		}
		p.Line = line
		if had := a.OfPart(p.Part); had != nil {
			return fmt.Errorf("%s:%d: part %s is answered on line %d already; take one out", a.Path, line, p.Part, had.Line)
		}
		a.Parts = append(a.Parts, p)
	}
	return nil
}

// OfPart returns what was decided of a part, nil for nothing.
func (a *Answers) OfPart(part string) *PartAnswer {
	if a == nil {
		return nil
	}
	if i := slices.IndexFunc(a.Parts, func(p PartAnswer) bool { return p.Part == part }); i >= 0 {
		return &a.Parts[i]
	}
	return nil
}

// decides reports whether anything is decided.
func (p *PartAnswer) decides() bool {
	return p.Count != AsDrawn || p.Tabs.Set || len(p.Label) > 0 || p.Name != "" || p.Face != "" || len(p.Pins) > 0
}

// SetPart puts what is decided of a part in the place of what was before; where it
// decides nothing it is taken out.
func (a *Answers) SetPart(p PartAnswer) {
	p.Pins = trimmed(p.Pins)
	a.Parts = slices.DeleteFunc(a.Parts, func(x PartAnswer) bool { return x.Part == p.Part })
	if p.decides() {
		a.Parts = append(a.Parts, p)
		sort.SliceStable(a.Parts, func(i, k int) bool { return a.Parts[i].Part < a.Parts[k].Part })
	}
}

// Refuse notes why something that was decided of a part is not done, told once.
func (a *Answers) Refuse(p *PartAnswer, why string) {
	if a == nil {
		return
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	r := Refusal{p.Line, p.OfJob, p.Part, why}
	if !slices.Contains(a.refused, r) {
		a.refused = append(a.refused, r)
	}
}

// Refusal says why something that was decided of a part is not done.
type Refusal struct {
	Line  int  // of the file, 0 where it was not read from one
	OfJob bool // that is the job file
	Part  string
	Why   string
}

// Refused returns what was noted by Refuse, by line.
func (a *Answers) Refused() []Refusal {
	if a == nil {
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	out := slices.Clone(a.refused)
	sort.SliceStable(out, func(i, k int) bool { return out[i].Line < out[k].Line })
	return out
}

// writeParts writes the answers to parts.
func (a *Answers) writeParts(b *bytes.Buffer) {
	for i := range a.Parts {
		p := &a.Parts[i]
		b.WriteString("\n[[part]]\n")
		put := func(key, value string) { fmt.Fprintf(b, "%-6s = %s\n", key, value) }
		put("part", tomlString(oneLine(p.Part)))
		if p.About != "" {
			put("about", tomlString(oneLine(p.About)))
		}
		if p.Count != AsDrawn {
			put("count", strconv.Itoa(p.Count))
		}
		switch {
		case len(p.Tabs.At) > 0:
			put("tabs", placesText(p.Tabs.At))
		case p.Tabs.Set && p.Tabs.Number == 0:
			put("tabs", `"none"`)
		case p.Tabs.Set:
			put("tabs", strconv.Itoa(p.Tabs.Number))
		}
		if len(p.Label) > 0 {
			put("label", placesText(p.Label))
		}
		if p.Corner != nil {
			put("corner", tomlString(placeText(*p.Corner)))
		}
		if p.Name != "" {
			put("name", tomlString(oneLine(p.Name)))
		}
		if p.Face != "" {
			put("face", tomlString(p.Face))
		}
		writePins(p.Pins, put)
	}
}

func placesText(at []geom.Point) string {
	list := make([]string, len(at))
	for i, p := range at {
		list[i] = tomlString(placeText(p))
	}
	return "[" + strings.Join(list, ", ") + "]"
}

// placeText writes a place to a thousandth of a millimetre.
func placeText(p geom.Point) string {
	f := func(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64) + "mm" }
	return f(p.X) + "," + f(p.Y)
}
