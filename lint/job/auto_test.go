package job

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// A length that may follow from the rest of the job is written and read back as
// "auto", and printed so; other lengths may not be that.
func TestAuto(t *testing.T) {
	j, err := Parse([]byte("[tabs]\nwidth = \"auto\"\n[[material]]\nname = \"own\"\ndensity = \"7000kg/m3\"\nshear = \"250MPa\"\n"), "", someRules)
	if err != nil {
		t.Fatal(err)
	}
	if j.Tabs.Width != Auto || j.Material[0].Shear != 250 {
		t.Errorf("width %g, shear strength %g MPa", j.Tabs.Width, j.Material[0].Shear)
	}
	var b bytes.Buffer
	if err := j.Write(&b); err != nil {
		t.Fatal(err)
	}
	again, err := Parse(b.Bytes(), "", someRules)
	if err != nil {
		t.Fatal(err)
	}
	if again.Tabs.Width != Auto || again.Material[0].Shear != 250 {
		t.Errorf("read back: width %g, shear strength %g MPa", again.Tabs.Width, again.Material[0].Shear)
	}
	for file, want := range map[string]string{
		"[tabs]\nwidth = \"wide\"\n": `or "auto"`,
		"[jet]\nkerf = \"auto\"\n":   "no length",
		"[tabs]\nwidth = -1\n":       "negative",
	} {
		if _, err := Parse([]byte(file), "", someRules); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", file, err, want)
		}
	}
}

// An "auto" taper goes by quality, within a hundredth of the thickness a side.
func TestSlotTaper(t *testing.T) {
	for _, c := range []struct {
		quality, thickness, measured, want float64
	}{
		{3, 25, 0, 0.2}, {1, 25, 0, 0.4}, {5, 25, 0, 0.08}, {2.5, 25, 0, 0.25}, {3, 3, 0, 0.06}, {3, 3, 5, 0.1}, {5, 4.76, 0, 0.08}, {3, 0, 0, 0.2},
	} {
		j := Default()
		if j.SlotTaper() != 0 {
			t.Errorf("taper %g mm by default", j.SlotTaper())
		}
		j.Jet.Quality, j.Sheet.Thickness, j.Fit.Measured, j.Fit.Taper = c.quality, c.thickness, c.measured, Auto
		if got := j.SlotTaper(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("quality %g, %g mm: taper %g mm, want %g", c.quality, c.thickness, got, c.want)
		}
	}
}
