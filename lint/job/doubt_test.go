package job

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestDoubts: figures that were meant in another unit are asked about, others not.
func TestDoubts(t *testing.T) {
	for _, tt := range []struct {
		name, value string
		want        []string
	}{
		{"jet.kerf", "1mm", nil},
		{"jet.kerf", "0.035in", nil},
		{"jet.kerf", "3mm", nil},
		{"jet.kerf", "25", []string{"kerf 25mm: no abrasive stream is that wide; did you mean 0.025in?"}},
		{"jet.kerf", "35mm", []string{"kerf 35mm: no abrasive stream is that wide; did you mean 0.035in?"}},
		{"jet.kerf", "9", []string{"kerf 9mm: no abrasive stream is that wide; did you mean 0.9mm?"}},
		{"jet.kerf", "0.04", []string{"kerf 0.04mm: no abrasive stream is that narrow; did you mean 0.04in?"}},
		{"sheet.thickness", "0.19", []string{"thickness 0.19mm: no sheet is that thin; did you mean 0.1875in?"}},
		{"sheet.thickness", "0.1875", []string{"thickness 0.1875mm: no sheet is that thin; did you mean 0.1875in?"}},
		{"sheet.thickness", "0.25", []string{"thickness 0.25mm: no sheet is that thin; did you mean 0.25in?"}},
		{"sheet.thickness", "0.1", []string{"thickness 0.1mm: no sheet is that thin; did you mean 0.1in?"}},
		{"sheet.thickness", "0.5", nil},
		{"sheet.thickness", "48", nil},
		{"sheet.thickness", "476", []string{"thickness 476mm: no sheet is that thick; did you mean 4.76mm?"}},
		{"sheet.size", "48, 96", []string{"sheet size 48mm x 96mm: no plate is that small; did you mean 48in x 96in?"}},
		{"sheet.size", "1220, 2440", nil},
		{"sheet.size", "100, 80", nil},
	} {
		j := Default()
		var err error
		if tt.name == "sheet.size" {
			var p *Job
			p, err = Parse([]byte("[sheet]\nsize = ["+tt.value+"]\n"), "j.toml", nil)
			j = p
		} else {
			err = j.Set(tt.name, tt.value)
		}
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tt.want, j.Doubts()); diff != "" {
			t.Errorf("%s = %s (-want +got):\n%s", tt.name, tt.value, diff)
		}
	}
}
