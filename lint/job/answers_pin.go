package job

import (
	"fmt"
	"math"
	"strconv"

	"sluice/geom"
)

// Pin is where one of a part lies on a sheet of a layout, whatever the search does
// with the others.
type Pin struct {
	At    geom.Point // lower left corner of the part's box, once it is turned, from that of the sheet, mm
	Turn  float64    // degrees counter-clockwise
	Sheet int        // of those that the part may be cut from, in the order in which they are taken; from 1
}

// mostPinSheet bounds the number of a sheet.
const mostPinSheet = 10_000

// pin reads the keys at, turn and sheet; nil if there are none.
func (t *partTable) pin() (*Pin, error) {
	if t.At == nil {
		if t.Turn != nil || t.Sheet != nil {
			return nil, fmt.Errorf("at: the place is missing; add at = \"120mm,33mm\", the part's lower left corner on the sheet, or take turn and sheet out")
		}
		return nil, nil
	}
	s, ok := t.At.(string)
	if !ok {
		return nil, fmt.Errorf("at: %v is no place; write \"x,y\" with units, such as \"120mm,33mm\"", t.At)
	}
	at, err := readPlace("at", s)
	if err != nil {
		return nil, err
	}
	p := &Pin{At: at, Sheet: 1}
	switch v := t.Turn.(type) {
	case nil:
	case int64:
		p.Turn = float64(v)
	case float64:
		p.Turn = v
	default:
		return nil, fmt.Errorf("turn: %v is no turn; write degrees counter-clockwise, such as 90", v)
	}
	if !(math.Abs(p.Turn) <= 360) {
		return nil, fmt.Errorf("turn: %v is no turn; write degrees counter-clockwise, -360 to 360", p.Turn)
	}
	if t.Sheet != nil {
		if *t.Sheet < 1 || *t.Sheet > mostPinSheet {
			return nil, fmt.Errorf("sheet: %d is no number of a sheet; the first is 1", *t.Sheet)
		}
		p.Sheet = int(*t.Sheet)
	}
	return p, nil
}

// write writes the keys that pin reads.
func (p *Pin) write(put func(key, value string)) {
	put("at", tomlString(placeText(p.At)))
	if p.Turn != 0 {
		put("turn", strconv.FormatFloat(p.Turn, 'f', -1, 64))
	}
	if p.Sheet != 1 {
		put("sheet", strconv.Itoa(p.Sheet))
	}
}
