package job

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"
)

// Leave is the choice that every finding has: it is accepted as it stands.
const Leave = "leave"

// Answers are what a person has decided of one drawing, finding by finding. They
// lie in a file beside it.
type Answers struct {
	Path  string
	List  []Answer
	Parts []PartAnswer

	at      map[string]int // the place in List of the answer to a finding
	mu      sync.Mutex
	used    map[string]bool // findings that were met
	refused []Refusal
}

// Answer settles one finding.
type Answer struct {
	Finding string `toml:"finding"` // its id
	About   string `toml:"about"`   // for people; not read
	Choice  string `toml:"choice"`  // one of the finding's
	Note    string `toml:"note"`    // why
	Shows   string `toml:"shows"`   // Repaired: the finding shows once the drawing is repaired, and not before; else ""
	Line    int    `toml:"-"`       // of the file
}

// Repaired is what Answer.Shows says of a finding of the corrected drawing alone.
const Repaired = "repaired"

// answersFile is the form of the file.
type answersFile struct {
	Answer []Answer    `toml:"answer"`
	Part   []partTable `toml:"part"`
}

// ParseAnswers reads a file of answers; path only names it. A key that is not
// known, an answer without finding or choice, and two answers to one finding are
// errors that name the line.
func ParseAnswers(data []byte, path string) (*Answers, error) {
	var f answersFile
	d := toml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	if err := d.DisallowUnknownFields().Decode(&f); err != nil {
		return nil, answersError(err, path)
	}
	a := NewAnswers(path)
	lines := tableLines(data, "[[answer]]")
	for i, x := range f.Answer {
		if i < len(lines) {
			x.Line = lines[i]
		}
		x.Finding, x.Choice = strings.TrimSpace(x.Finding), strings.TrimSpace(x.Choice)
		switch {
		case x.Finding == "":
			return nil, fmt.Errorf("%s:%d: answer: the finding is missing; add finding = \"its id\", as lint --format json gives it", path, x.Line)
		case x.Choice == "":
			return nil, fmt.Errorf("%s:%d: answer: the choice is missing; add choice = %q, or another that lint --format json lists", path, x.Line, Leave)
		case x.Shows != "" && x.Shows != Repaired:
			return nil, fmt.Errorf("%s:%d: answer: shows = %q is not known; write %q or leave it out", path, x.Line, x.Shows, Repaired)
		}
		if k, twice := a.at[x.Finding]; twice {
			return nil, fmt.Errorf("%s:%d: finding %s is answered on line %d already; take one out", path, x.Line, x.Finding, a.List[k].Line)
		}
		a.Add(x)
	}
	if err := a.readParts(f.Part, tableLines(data, "[[part]]")); err != nil {
		return nil, err
	}
	return a, nil
}

// answersError puts the error of a TOML file into a line that says where.
func answersError(err error, path string) error {
	var strict *toml.StrictMissingError
	var plain *toml.DecodeError
	switch {
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		e := strict.Errors[0]
		line, _ := e.Position()
		key := strings.Join(e.Key(), ".")
		known := []string{"finding", "about", "choice", "note", "shows"}
		switch {
		case len(e.Key()) == 1:
			known = []string{"answer", "part"}
		case e.Key()[0] == "part":
			known = partKeys
		}
		last := key[strings.LastIndexByte(key, '.')+1:]
		return fmt.Errorf("%s:%d: %s: unknown key; did you mean %q? (%s)", path, line, short(key), Nearest(last, known), list(known))
	case errors.As(err, &plain):
		line, _ := plain.Position()
		return fmt.Errorf("%s:%d: %s", path, line, strings.TrimPrefix(plain.Error(), "toml: "))
	}
	return fmt.Errorf("%s: %s", path, strings.TrimPrefix(err.Error(), "toml: "))
}

// tableLines returns the lines on which a list's tables begin.
func tableLines(data []byte, head string) (lines []int) {
	for i, line := range strings.Split(string(data), "\n") {
		if t := strings.ReplaceAll(strings.TrimSpace(line), " ", ""); t == head || strings.HasPrefix(t, head+"#") {
			lines = append(lines, i+1)
		}
	}
	return lines
}

// Of returns the answer to a finding, nil if there is none, and remembers that it
// was asked for.
func (a *Answers) Of(finding string) *Answer {
	if a == nil {
		return nil
	}
	i, ok := a.at[finding]
	if !ok {
		return nil
	}
	a.mu.Lock()
	a.used[finding] = true
	a.mu.Unlock()
	return &a.List[i]
}

// Stale returns the answers to findings that were not met, by line.
func (a *Answers) Stale() (stale []Answer) {
	if a == nil {
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, x := range a.List {
		if !a.used[x.Finding] {
			stale = append(stale, x)
		}
	}
	sort.SliceStable(stale, func(i, k int) bool { return stale[i].Line < stale[k].Line })
	return stale
}

// ChoiceError tells of a choice that a finding does not have.
func (a *Answers) ChoiceError(x *Answer, rule string, known []string) error {
	return fmt.Errorf("%s:%d: %q is no choice for %s; did you mean %q? (%s)", a.Path, x.Line, x.Choice, rule, Nearest(x.Choice, known), list(known))
}

// Add puts an answer in the place of the one to the same finding, else at the end.
func (a *Answers) Add(x Answer) {
	if i, ok := a.at[x.Finding]; ok {
		a.List[i] = x
		return
	}
	a.at[x.Finding] = len(a.List)
	a.List = append(a.List, x)
}

// NewAnswers returns answers to nothing yet, for a file at path.
func NewAnswers(path string) *Answers {
	return &Answers{Path: path, at: map[string]int{}, used: map[string]bool{}}
}

// Text returns the file of the answers; ParseAnswers reads it back.
func (a *Answers) Text() []byte {
	var b bytes.Buffer
	b.WriteString("# What was decided of this drawing, finding by finding. Take an answer out to be asked again;\n" +
		"# sluice explain RULE lists the choices.\n")
	for i := range a.List {
		x := &a.List[i]
		b.WriteString("\n[[answer]]\n")
		for _, kv := range [][2]string{{"finding", x.Finding}, {"about  ", x.About}, {"choice ", x.Choice}, {"note   ", x.Note}, {"shows  ", x.Shows}} {
			if kv[1] != "" {
				fmt.Fprintf(&b, "%s = %s\n", kv[0], tomlString(oneLine(kv[1])))
			}
		}
	}
	a.writeParts(&b)
	return b.Bytes()
}

// oneLine puts blanks in the place of line breaks and other control characters.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}
