package lint

import (
	"sluice/lint/kit"
)

// Stand is what the verdict on a drawing rests on besides its findings.
type Stand struct {
	Drawn   []float64      // thicknesses of sheet that the joints show, mm, those of most joints first
	Guessed bool           // no joint fits any other: Drawn is a guess
	Judged  bool           // a thickness is set, so that joints were judged
	Sheet   float64        // how thick the sheet is, as set or measured, mm; 0: not set
	Sheets  []float64      // of several sheets: how thick they are, mm, ascending
	Tight   int            // slots and notches that the sheet does not go into
	Loose   int            // in which it rattles
	Near    int            // of Tight and Loose those off by little (kit.NearMiss)
	Fingers int            // finger edges that are not as deep as the sheet is thick
	Fit     int            // slots, notches and finger edges that suit
	Tabs    int            // tabs whose slots do not suit
	None    bool           // joints enough were judged, and none suits
	Copies  map[string]int // how often parts of a name are drawn, where more than once
}

// Stand returns how a judged drawing stands to its sheet.
func (r *Result) Stand() *Stand {
	switch {
	case r == nil || r.Err != nil:
		return &Stand{}
	case r.Brief != nil:
		return &r.Brief.Stand
	}
	s := &Stand{}
	if r.Sheet == nil {
		return s
	}
	drawn := map[string]int{}
	for i := range r.Sheet.Parts {
		drawn[r.Name(i)]++
	}
	for name, n := range drawn {
		if n > 1 && name != "" {
			if s.Copies == nil {
				s.Copies = map[string]int{}
			}
			s.Copies[name] = n
		}
	}
	if r.Kit == nil || r.Job == nil {
		return s
	}
	k := r.Kit()
	s.Drawn, s.Guessed = k.DrawnFor(), k.Guessed
	sheets, ok := kit.SheetsOf(k, r.Job, r.Names)
	if !ok {
		return s
	}
	s.Judged, s.Sheet = true, sheets.Main().Thickness
	if sheets.Several() {
		s.Sheets = r.Job.Thicknesses()
	}
	if k.Guessed {
		return s
	}
	suit := k.SuitOf(sheets, r.Job.Jet.Kerf)
	s.Tight, s.Loose, s.Fingers = len(suit.Tight), len(suit.Loose), len(suit.Fingers)
	s.Near = suit.Near
	s.Fit, s.Tabs, s.None = suit.Fit, suit.Tabs, k.NoneFits(suit)
	return s
}
