package review

import (
	"bytes"
	"strings"
	"testing"

	"sluice/lint/job"
)

// TestParts has parts counted and their tabs put elsewhere by a page.
func TestParts(t *testing.T) {
	v := serve(t, crane(t), 0)
	v.state()
	for _, tt := range []struct {
		do, body string
		want     int
		told     string
	}{
		{"part", `{"part":"9","count":2}`, 204, ""},
		{"part", `{"part":"9","count":-7}`, 422, "is no count"},
		{"part", `{"part":"none","count":1}`, 422, "there is no part none"},
		{"part", `{"part":"9","weight":1}`, 400, ""},
		{"put", `{"kind":"tab","part":"none","from":[0,0],"to":[1,1]}`, 422, "not asked any more"},
		{"spot", `{"kind":"tab","part":"9","from":[0,0],"to":[1e999,0]}`, 400, ""},
	} {
		status, text := v.ask("POST", v.at+tt.do, tt.body, nil)
		if status != tt.want || !strings.Contains(text, tt.told) {
			t.Errorf("%s %s: %d %s, want %d", tt.do, tt.body, status, text, tt.want)
		}
	}
	if !bytes.Contains(v.kept, []byte("[[part]]\npart   = \"9\"")) || !bytes.Contains(v.kept, []byte("count  = 2")) {
		t.Errorf("kept: %s", v.kept)
	}
	s := v.state()
	for _, p := range s["parts"].([]any) {
		p := p.(map[string]any)
		if p["number"] == "9" && (p["count"] != 2.0 || p["drawn"] != 4.0) {
			t.Errorf("part 9 is shown as %v", p)
		}
	}
	if status, text := v.ask("POST", v.at+"spot", `{"kind":"tab","part":"1","from":[0,0],"to":[40,300]}`, nil); status != 200 || !strings.Contains(text, `"refused"`) {
		t.Errorf("spot: %d %s", status, text)
	}
	if status, _ := v.ask("POST", v.at+"forget", `{"ids":["part 9"]}`, nil); status != 204 || v.kept != nil {
		t.Errorf("forget: %d, kept %q", status, v.kept)
	}
}

// Parts are listed with what the job asks of them, those that it leaves out too; an answer
// goes before, also one that asks for as many as are drawn.
func TestPartsAsked(t *testing.T) {
	j := job.Default()
	j.Part = []job.PartWish{{Part: "9", Count: 2}, {Part: "10", Count: 0}}
	v := serveWith(t, crane(t), j, 0)
	listed := func() map[string][3]float64 {
		out := map[string][3]float64{}
		for _, p := range v.state()["parts"].([]any) {
			p := p.(map[string]any)
			out[p["number"].(string)] = [3]float64{p["count"].(float64), p["drawn"].(float64), p["asked"].(float64)}
		}
		return out
	}
	got := listed()
	for number, want := range map[string][3]float64{"9": {2, 4, 2}, "10": {0, 1, 0}, "12": {1, 1, job.AsDrawn}} {
		if got[number] != want {
			t.Errorf("part %s: count, drawn, asked are %v, want %v", number, got[number], want)
		}
	}
	if status, text := v.ask("POST", v.at+"part", `{"part":"9","count":4}`, nil); status != 204 {
		t.Fatalf("part: %d %s", status, text)
	}
	if got := listed()["9"]; got != [3]float64{4, 4, 2} {
		t.Errorf("answered, part 9 is shown as %v", got)
	}
}
