package lint

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom/drawing"
)

// Every entity has one fate, told by type, and what is left out says why: by a
// notice, by a problem that lost it, or by its layer.
func TestAccountOf(t *testing.T) {
	d := &drawing.Drawing{
		Layers: []drawing.Layer{{Name: "cut"}, {Name: "frame"}},
		Entities: []drawing.Entity{
			{Type: "LINE", Kept: true}, {Type: "LINE", Kept: true}, {Type: "TEXT", Kept: true},
			{Type: "IMAGE"}, {Type: "SPLINE"}, {Type: "LINE", Kept: true, Layer: 1}, {Type: "HELIX"}, {Type: "HELIX"},
		},
		Notices: []drawing.Notice{
			{Kind: drawing.NotFlat, Entity: 3, Text: "z = 3"}, {Kind: drawing.Unread, Entity: 3, Text: "IMAGE, a picture"},
			{Kind: drawing.Unread, Entity: 6, Text: "HELIX"}, {Kind: drawing.Unread, Entity: 7, Text: "HELIX"},
		},
		Problems: []drawing.Problem{{Entity: 4, Lost: true, Text: "the SPLINE is not read"}, {Entity: 0, Text: "decimal comma"}, {Entity: -1, Lost: true, Text: "cut"}},
	}
	r := &Result{Drawing: d, Fates: []Fate{Used, Used, Carried, LeftOut, LeftOut, LeftOut, LeftOut, LeftOut}}
	want := Account{
		Read: 8, Used: 2, Carried: 1, LeftOut: 5,
		ByType: []TypeAccount{
			{Type: "HELIX", Read: 2, LeftOut: 2}, {Type: "IMAGE", Read: 1, LeftOut: 1}, {Type: "LINE", Read: 3, Used: 2, LeftOut: 1},
			{Type: "SPLINE", Read: 1, LeftOut: 1}, {Type: "TEXT", Read: 1, Carried: 1},
		},
		Left: []LeftOutItem{
			{"HELIX", 2, "no outline is known for it"}, {"IMAGE", 1, "a picture"},
			{"LINE", 1, "draws nothing that is cut or carried (frame)"}, {"SPLINE", 1, "the SPLINE is not read"},
		},
	}
	got := AccountOf(r, nil)
	if diff := cmp.Diff(want, got); diff != "" || !got.Balanced() {
		t.Errorf("balanced %v (-want +got):\n%s", got.Balanced(), diff)
	}
	// An edit replaces what is used or carried, never what is left out.
	got = AccountOf(r, []bool{true, false, true, true, false, false, false, false})
	if got.Replaced != 2 || got.Used != 1 || got.Carried != 0 || got.LeftOut != 5 || !got.Balanced() {
		t.Errorf("%+v", got)
	}
	got.ByType[0].LeftOut++
	if got.Balanced() {
		t.Error("an entity too many is not seen")
	}
}
