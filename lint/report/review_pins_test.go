package report

import (
	"testing"

	"sluice/geom"
	"sluice/lint/job"
)

func TestPinTold(t *testing.T) {
	for _, tt := range []struct {
		pins []*job.Pin
		want string
	}{
		{[]*job.Pin{{At: geom.Pt(120, 33.125), Sheet: 1}}, "laid out at 120, 33.125 mm on sheet 1"},
		{[]*job.Pin{nil, {At: geom.Pt(5, 5), Turn: 90, Sheet: 2}}, "laid out at 5, 5 mm on sheet 2, turned by 90°"},
		{make([]*job.Pin, 5), ""},
		{[]*job.Pin{{Sheet: 1}, {Sheet: 1}, {Sheet: 1}, nil, {Sheet: 1}}, "4 of it laid out where they were put"},
	} {
		got := answeredPart(&job.PartAnswer{Part: "7", Count: job.AsDrawn, Pins: tt.pins})
		if got.Text != tt.want || got.ID != "part 7" {
			t.Errorf("%q of %q, want %q", got.Text, got.ID, tt.want)
		}
	}
}
