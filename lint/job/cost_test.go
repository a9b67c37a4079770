package job

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestParseJetAndCost(t *testing.T) {
	const file = `
[jet]
pressure = "50kpsi"
orifice = "0.014in"
mixing_tube = "0.040in"
abrasive = "1lb/min"
quality = 3.5
speed_at = ["3/16in q3 22in/min", "4.76mm q3 560mm/min aluminium 5052"]
rapid_speed = "12m/min"
start_time = 1.5
pierce = 6

[cost]
currency = "EUR"
sheet_price = 400
sheet_share = "length"
machine_rate = 150.0
abrasive_price = "0.45/lb"
kits = 3

[[material]]
name = "brass 360"
density = "8.5g/cm3"
machinability = 110

[[material]]
name = "birch"
density = "0.0246lb/in3"
`
	got, err := Parse([]byte(file), "j.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	want := Default()
	want.Path = "j.toml"
	j := &want.Jet
	j.Pressure, j.Orifice, j.MixingTube, j.Abrasive, j.Quality = 344.73786, 0.3556, 1.016, 453.59237, 3.5
	j.SpeedAt = []string{"3/16in q3 22in/min", "4.76mm q3 560mm/min aluminium 5052"}
	j.RapidSpeed, j.StartTime, j.Pierce = 12000, 1.5, 6
	c := &want.Cost
	c.Currency, c.SheetPrice, c.SheetShare, c.MachineRate, c.AbrasivePrice, c.Kits = "EUR", 400, "length", 150, 0.992080, 3
	want.Material = []Material{{Name: "brass 360", Density: 8500, Machinability: 110, Line: 21}, {Name: "birch", Density: 680.92, Line: 26}}
	if d := cmp.Diff(want, got, cmpopts.EquateApprox(1e-5, 0)); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	speeds := []MeasuredSpeed{{4.7625, 3, 558.8, ""}, {4.76, 3, 560, "aluminium 5052"}}
	if d := cmp.Diff(speeds, got.Jet.Speeds(), cmpopts.EquateApprox(1e-9, 0)); d != "" {
		t.Errorf("speeds (-want +got)\n%s", d)
	}
	var b bytes.Buffer
	if err := got.Write(&b); err != nil {
		t.Fatal(err)
	}
	again, err := Parse(b.Bytes(), "j.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(got, again, cmpopts.IgnoreFields(Material{}, "Line"), cmpopts.EquateEmpty()); d != "" {
		t.Errorf("read back (-want +got)\n%s", d)
	}
}

func TestParseJetAndCostErrors(t *testing.T) {
	for _, tt := range []struct{ data, want string }{
		{"[jet]\npressure = \"3000\"\n", `jet.pressure: "3000" is out of range; it is 50MPa to 700MPa`},
		{"[jet]\npressure = \"345atm\"\n", `"345atm" has an unknown unit; write one of MPa, bar, psi, kpsi`},
		{"[jet]\npressure = \"high\"\n", `"high" is no pressure`},
		{"[jet]\npressure = true\n", `true is no pressure`},
		{"[jet]\npressure = nan\n", `out of range`},
		{"[jet]\nquality = 6\n", `jet.edge: 6 is no edge; write one of through, coarse, plain, smooth, fine`},
		{"[jet]\nedge = \"plane\"\n", `jet.edge: "plane" is no edge; did you mean "plain"?`},
		{"[jet]\nspeed_at = \"x\"\n", `jet.speed_at: "x" is no list`},
		{"[jet]\nspeed_at = [\"3mm 500\"]\n", `"3mm 500" is no measured speed; write thickness, edge and speed`},
		{"[jet]\nspeed_at = [\"3mm q7 500mm/min\"]\n", `7 is no edge; write one of`},
		{"[jet]\nspeed_at = [\"3mm q3 0mm/min\"]\n", `must be above 0`},
		{"[jet]\nspeed_at = [3]\n", `3 is no text`},
		{"[cost]\nsheet_price = -1\n", `cost.sheet_price: -1 is out of range; it is 0 to`},
		{"[cost]\nsheet_share = \"area\"\n", `"area" is not allowed; did you mean`},
		{"[material]\nname = \"x\"\n", `[material] needs double brackets; write [[material]]`},
		{"[[material]]\nname = \"x\"\n", `j.toml:1: material: a density is missing`},
		{"[[material]]\ndensity = 1000\n", `material: a name is missing`},
		{"[[material]]\nname = \"x\"\ndensity = 1\nname2 = 1\n", `material.name2: unknown setting; did you mean "name"?`},
		{"[[material]]\nname = \"x\"\ndensity = \"1oz\"\n", `has an unknown unit; write one of kg/m3, g/cm3, lb/in3`},
		{"[[material]]\nname = \"x\"\ndensity = 1000\n[[material]]\nname = \"X\"\ndensity = 1000\n", `j.toml:4: material: "X" stands twice`},
		{"material = 3\n", `material is a list of tables; write [[material]]`},
	} {
		_, err := Parse([]byte(tt.data), "j.toml", nil)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q gives %v, want %s", tt.data, err, tt.want)
		}
	}
}
