package report

import (
	"encoding/json"
	"testing"

	"sluice/geom/drawing"
)

// The factor of a unit is told as it is, however small or large.
func TestUnitFactor(t *testing.T) {
	for _, c := range []struct {
		unit       drawing.Unit
		json, text string
	}{
		{drawing.Unit{Name: "in", Factor: 25.4, Basis: "header"}, `{"used":"in","factor":25.4,"basis":"header"}`, "in (stated in the drawing, 1 in = 25.4 mm)"},
		{drawing.Unit{Name: "mm", Factor: 1, Basis: "guess"}, `{"used":"mm","factor":1,"basis":"guess"}`, "mm (guessed)"},
		{drawing.Unit{Name: "angstrom", Factor: 1e-7, Basis: "header"}, `{"used":"angstrom","factor":1e-7,"basis":"header"}`, "angstrom (stated in the drawing, 1 angstrom = 1e-07 mm)"},
		{drawing.Unit{Name: "mil", Factor: 0.0254, Basis: "header"}, `{"used":"mil","factor":0.0254,"basis":"header"}`, "mil (stated in the drawing, 1 mil = 0.0254 mm)"},
		{drawing.Unit{Name: "pc", Factor: 3.0856775814913673e19, Basis: "header"}, `{"used":"pc","factor":30856775814913670000,"basis":"header"}`, "pc (stated in the drawing, 1 pc = 3.08568e+19 mm)"},
	} {
		got, err := json.Marshal(unitsJSONOf(&c.unit))
		if err != nil || string(got) != c.json {
			t.Errorf("%s: %s, %v", c.unit.Name, got, err)
		}
		if text := unitText(&c.unit); text != c.text {
			t.Errorf("%s: %q", c.unit.Name, text)
		}
	}
}
