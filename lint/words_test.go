package lint

import "testing"

func TestPlain(t *testing.T) {
	for message, want := range map[string]string{
		"2 INSERT left out: INSERT with nothing in it (from line 43059)": "2 blocks left out: block with nothing in it",
		"1 LWPOLYLINE left out: layer frozen (line 15377)":               "1 polyline left out: layer frozen",
		"line 23: model space is empty":                                  "model space is empty",
		"$INSUNITS says mm but $MEASUREMENT says imperial":               "the unit in the file says mm but its measuring system says imperial",
		"SPLINE, drawn as 3 lines":                                       "spline, drawn as 3 lines",
		`text "LINE 3 of INSERT" has no cutting path`:                    `text "LINE 3 of INSERT" has no cutting path`,
		"lies on NOTE and is not cut":                                    "lies on NOTE and is not cut",
		"21 HATCH left out":                                              "21 hatches left out",
		"":                                                               "",
	} {
		if got := Plain(message); got != want {
			t.Errorf("%q: %q, want %q", message, got, want)
		}
	}
	if got := PlainType("INSERT") + ", " + PlainType("ACAD_PROXY"); got != "block, acad_proxy" {
		t.Error(got)
	}
}
