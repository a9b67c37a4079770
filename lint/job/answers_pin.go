package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"sluice/geom"
)

// Pin is where a part lies on a sheet of a layout, whatever the search does with the
// others.
type Pin struct {
	At    geom.Point // lower left corner of the part's box, once it is turned, from that of the sheet, mm
	Turn  float64    // degrees counter-clockwise
	Sheet int        // of those that the part may be cut from, in the order in which they are taken; from 1
}

// Bounds on the number of a sheet, and on how many of a part are pinned.
const (
	mostPinSheet = 10_000
	mostPins     = mostCopies
)

// pins reads the keys at, turn and sheet: one place for the first of the part, or a
// list, in which "" is one that the search puts somewhere.
func (t *partTable) pins() ([]*Pin, error) {
	if t.At == nil {
		if t.Turn != nil || t.Sheet != nil {
			return nil, fmt.Errorf("at: the place is missing; add at = \"120mm,33mm\", the part's lower left corner on the sheet, or take turn and sheet out")
		}
		return nil, nil
	}
	places, several := t.At.([]any)
	if !several {
		places = []any{t.At}
	}
	if len(places) > mostPins {
		return nil, fmt.Errorf("at: %d places are too many; %d at most", len(places), mostPins)
	}
	pins := make([]*Pin, len(places))
	for i, v := range places {
		s, ok := v.(string)
		if !ok {
			return nil, fmt.Errorf("at: %v is no place; write \"x,y\" with units, such as \"120mm,33mm\"", v)
		}
		if several && strings.TrimSpace(s) == "" {
			continue
		}
		at, err := readPlace("at", s)
		if err != nil {
			return nil, err
		}
		pins[i] = &Pin{At: at, Sheet: 1}
	}
	for _, key := range []struct {
		name string
		v    any
		set  func(*Pin, any) error
	}{{"turn", t.Turn, (*Pin).turn}, {"sheet", t.Sheet, (*Pin).sheet}} {
		if err := each(key.name, key.v, pins, key.set); err != nil {
			return nil, err
		}
	}
	return trimmed(pins), nil
}

// trimmed returns pins without the free ones at the end.
func trimmed(pins []*Pin) []*Pin {
	for n := len(pins); n > 0 && pins[n-1] == nil; n-- {
		pins = pins[:n-1]
	}
	return pins
}

// each sets what a key says of each pin: one value for all of them, or a list of as many
// as there are places.
func each(key string, v any, pins []*Pin, set func(*Pin, any) error) error {
	list, several := v.([]any)
	if several && len(list) != len(pins) {
		return fmt.Errorf("%s: %d of them for %d places; write one for each, or one for all", key, len(list), len(pins))
	}
	for i, p := range pins {
		if p == nil || v == nil {
			continue
		}
		one := v
		if several {
			one = list[i]
		}
		if err := set(p, one); err != nil {
			return err
		}
	}
	return nil
}

func (p *Pin) turn(v any) error {
	switch v := v.(type) {
	case int64:
		p.Turn = float64(v)
	case float64:
		p.Turn = v
	default:
		return fmt.Errorf("turn: %v is no turn; write degrees counter-clockwise, such as 90", v)
	}
	if !(math.Abs(p.Turn) <= 360) {
		return fmt.Errorf("turn: %v is no turn; write degrees counter-clockwise, -360 to 360", p.Turn)
	}
	return nil
}

func (p *Pin) sheet(v any) error {
	n, ok := v.(int64)
	if !ok || n < 1 || n > mostPinSheet {
		return fmt.Errorf("sheet: %v is no number of a sheet; the first is 1", v)
	}
	p.Sheet = int(n)
	return nil
}

// writePins writes the keys that pins reads: one place alone as no list.
func writePins(pins []*Pin, put func(key, value string)) {
	if len(pins) == 0 {
		return
	}
	var at, turn, sheet []string
	turned, beyond := false, false
	for _, p := range pins {
		if p == nil {
			at, turn, sheet = append(at, `""`), append(turn, "0"), append(sheet, "1")
			continue
		}
		at = append(at, tomlString(pinText(p.At)))
		turn = append(turn, strconv.FormatFloat(p.Turn, 'f', -1, 64))
		sheet = append(sheet, strconv.Itoa(p.Sheet))
		turned, beyond = turned || p.Turn != 0, beyond || p.Sheet != 1
	}
	list := func(of []string) string {
		if len(pins) == 1 {
			return of[0]
		}
		return "[" + strings.Join(of, ", ") + "]"
	}
	put("at", list(at))
	if turned {
		put("turn", list(turn))
	}
	if beyond {
		put("sheet", list(sheet))
	}
}

// pinText writes a place as closely as it is known, so that a part that lies just clear
// of another stays so.
func pinText(p geom.Point) string {
	f := func(v float64) string {
		s := strings.TrimRight(strconv.FormatFloat(v, 'f', 12, 64), "0")
		if s = strings.TrimSuffix(s, "."); s == "-0" {
			s = "0"
		}
		return s + "mm"
	}
	return f(p.X) + "," + f(p.Y)
}

// WithoutPins returns the text of answers without where parts lie in a layout: what
// tells of the drawing alone.
func (a *Answers) WithoutPins() []byte {
	b := NewAnswers(a.Path)
	b.List = a.List
	for _, p := range a.Parts {
		if p.Pins = nil; p.decides() {
			b.Parts = append(b.Parts, p)
		}
	}
	return b.Text()
}
