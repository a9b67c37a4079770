package talk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"time"

	"sluice/geom"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/settle"
)

// laid tells the layout as it stands.
func (t *Talk) laid(url.Values) Answer {
	version, _ := t.desk.LayoutChanged()
	l := t.desk.Layout()
	v := report.NewReviewLaid(l, version, t.usual())
	t.mu.Lock()
	if t.laidWritten == l.Number && l.Number > 0 && !l.Stale {
		v.Written = t.laidTold
	}
	t.mu.Unlock()
	return tell(v)
}

// usual says how long the job has a layout looked for.
func (t *Talk) usual() string {
	j := t.desk.Job()
	s := fmt.Sprintf("%g s of steps", j.Layout.Seconds)
	if j.Layout.Deadline > 0 {
		s += fmt.Sprintf(", %g s by the clock at most", j.Layout.Deadline)
	}
	return s
}

// forms tells what the parts of the layout look like.
func (t *Talk) forms(url.Values) Answer {
	l := t.desk.Layout()
	return Answer{Done, JSON, func(w io.Writer) error { return report.ReviewForms(w, l) }}
}

// lay has the parts laid out.
func (t *Talk) lay(d *json.Decoder) Answer {
	var in struct {
		Seconds float64 `json:"seconds"` // by the clock; 0: as the job says
		On      bool    `json:"on"`      // from what is shown
	}
	if d.Decode(&in) != nil {
		return unread
	}
	w := settle.LayWish{Seconds: in.Seconds, On: in.On}
	if in.Seconds > 0 && in.Seconds <= 86400 {
		w.Until = time.Duration(in.Seconds * float64(time.Second))
	}
	return done(t.desk.LayOut(w))
}

// lying names a part of a layout and where it is to go, mm from the lower left corner of
// the sheet.
type lying struct {
	Part  string     `json:"part"`
	Which int        `json:"which"`
	Sheet int        `json:"sheet"` // from 0
	To    [2]float64 `json:"to"`    // of the middle of its box
	Turn  float64    `json:"turn"`
	Step  int        `json:"step"` // so many turns further
}

func (l *lying) put() settle.Put {
	return settle.Put{
		LaidPart: settle.LaidPart{Name: l.Part, Which: l.Which}, Sheet: l.Sheet, At: geom.Pt(l.To[0], l.To[1]), Turn: l.Turn, Step: l.Step,
	}
}

// place tells where a part of the layout would come to lie.
func (t *Talk) place(d *json.Decoder) Answer {
	var in lying
	if d.Decode(&in) != nil {
		return unread
	}
	s, err := t.desk.SpotPart(in.put())
	if err != nil {
		return refuse(err)
	}
	return tell(report.NewReviewSpot(s, in.Sheet))
}

// pin puts a part of the layout elsewhere, or lets it go.
func (t *Talk) pin(d *json.Decoder) Answer {
	var in lying
	if d.Decode(&in) != nil {
		return unread
	}
	return done(t.desk.PinPart(in.put()))
}

func (t *Talk) unpin(d *json.Decoder) Answer {
	var in lying
	if d.Decode(&in) != nil {
		return unread
	}
	return done(t.desk.UnpinPart(in.put().LaidPart))
}

// writeLaid puts the sheets of the layout in place.
func (t *Talk) writeLaid(replace bool) Answer {
	v, err := t.desk.View()
	switch {
	case err != nil:
		return refuse(err)
	case t.o.WriteLaid == nil:
		return refuse(errors.New("no sheets are written here"))
	case v.Busy:
		return refuse(errors.New("the drawing is still being repaired; write it when that is done"))
	}
	l, sheets, err := t.desk.Sheets(context.Background())
	if err != nil {
		return refuse(err)
	}
	t.mu.Lock()
	again := t.laidWritten > 0
	t.mu.Unlock()
	told, err := t.o.WriteLaid(v, l, sheets, replace || again)
	if errors.Is(err, ErrExists) {
		return plain(There, err.Error())
	}
	if err != nil {
		return refuse(err)
	}
	told += ". " + same(l)
	t.mu.Lock()
	t.laidWritten, t.laidTold = l.Number, told
	t.mu.Unlock()
	return tell(map[string]string{"told": told})
}

// same says how the layout can be had again.
func same(l *settle.Layout) string {
	switch {
	case l.Exact && l.Laid.Fixed():
		return "All parts are pinned: fix --layout comes to the same"
	case l.Exact:
		return "fix --layout comes to the same with these answers"
	}
	return "It was stopped, gone on with or changed by hand: only with all parts pinned would fix --layout come to the same"
}

// LaidWriter puts the sheets of a layout in place and says what it wrote; see
// Options.Write.
type LaidWriter func(v *settle.View, l *settle.Layout, sheets []mend.SheetOut, replace bool) (told string, err error)
