package job

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Jet describes the stream and how the machine moves it. Only Kerf shapes what
// lint and fix do; the rest is for times, costs and paths.
type Jet struct {
	Kerf       float64  // width the stream removes, mm
	Pressure   float64  // of the water before the orifice, MPa
	Orifice    float64  // bore, mm
	MixingTube float64  // bore, mm
	Abrasive   float64  // flow, g/min
	Quality    float64  // of the edge, as the speed equation numbers it: 1 to 5, see Edges
	SpeedAt    []string // measured speeds, each "THICKNESS qN SPEED [MATERIAL]"; see Speeds
	TopSpeed   float64  // fastest the table follows an outline, mm/min
	EtchSpeed  float64  // mm/min
	RapidSpeed float64  // with the stream shut, mm/min
	Pierce     float64  // time of a pierce in times that a separation cut takes for a length of the thickness
	StartTime  float64  // for valve, abrasive and head at each start, s
	Lead       float64  // length of lead-ins, mm; 0: see LeadLength
	LeadMargin float64  // strip of scrap between a lead and any other cut, mm
	Overlap    float64  // how far a closed cut runs on past its start, mm

	EtchAbrasive bool // marks take abrasive too; false where the machine etches with water alone
}

// Cost holds prices and the work by hand. Prices are in Currency; 0 is unset.
type Cost struct {
	Currency       string
	SheetPrice     float64 // of one whole sheet
	SheetShare     string  // "box", "length", "whole" or "offcut"
	MachineRate    float64 // per hour
	LabourRate     float64 // per hour
	AbrasivePrice  float64 // per kg
	SetupMinutes   float64 // once for all kits
	MinutesPerPart float64 // sanding, sorting
	MinutesPerTab  float64 // breaking and dressing one tab
	Kits           float64 // how many of the drawing are cut
}

// Material is one that the job adds to the built-in ones.
type Material struct {
	Name          string
	Density       float64 // kg/m3
	Machinability float64 // machinability number, 0: unknown, so that a speed must be measured
	Shear         float64 // shear strength, MPa, 0: unknown
	Line          int     // of the job file
}

// defaultJet is an everyday pump and nozzle: 345 MPa (50 kpsi), a tube of about
// three bores of the orifice, 1 lb/min of garnet. Times are common practice, no
// source, and so is Overlap, 1 to 3 mm; Pierce is chosen so that 10 mm of aluminium
// takes some three seconds.
func defaultJet() Jet {
	return Jet{
		Kerf: 1.0, Pressure: 345, Orifice: 0.35, MixingTube: 1.02, Abrasive: 450, Quality: 3,
		TopSpeed: 5000, EtchSpeed: 2500, RapidSpeed: 10000, Pierce: 8, StartTime: 2, LeadMargin: 0.5, Overlap: 2, EtchAbrasive: true,
	}
}

func defaultCost() Cost {
	return Cost{SheetShare: "box", MinutesPerPart: 0.5, MinutesPerTab: 0.25, Kits: 1}
}

// LeadLength returns how long lead-ins are where there is room, mm: unset it is
// a kerf and half the thickness, at least two kerfs (common practice, no source).
func (j *Job) LeadLength() float64 {
	if j.Jet.Lead > 0 {
		return j.Jet.Lead
	}
	return max(2*j.Jet.Kerf, j.Jet.Kerf+j.Sheet.Thickness/2)
}

// MeasuredSpeed is a cutting speed found on the machine with the pump as set.
type MeasuredSpeed struct {
	Thickness float64 // mm
	Quality   float64 // 1 to 5
	Speed     float64 // mm/min
	Material  string  // "": that of the sheet
}

// Speeds reads the measured speeds. Parse has checked them.
func (j *Jet) Speeds() []MeasuredSpeed {
	var out []MeasuredSpeed
	for _, s := range j.SpeedAt {
		if m, err := parseSpeedAt(s); err == nil {
			out = append(out, m)
		}
	}
	return out
}

// parseSpeedAt reads "4.76mm plain 560mm/min", perhaps with a material behind it.
func parseSpeedAt(s string) (m MeasuredSpeed, err error) {
	const form = `write thickness, edge and speed, such as "4.76mm plain 560mm/min" or "3/16in plain 22in/min aluminium 5052"`
	f := strings.Fields(s)
	if len(f) < 3 {
		return m, fmt.Errorf("%s is no measured speed; %s", quote(s), form)
	}
	if m.Thickness, err = ParseLength(f[0]); err != nil {
		return m, err
	}
	if m.Quality, err = parseEdge(strings.TrimPrefix(strings.ToLower(f[1]), "q")); err != nil { // q3, as older job files have it
		return m, err
	}
	if m.Speed, err = speeds.parse(f[2]); err != nil {
		return m, err
	}
	if !(m.Thickness > 0 && m.Speed > 0) {
		return m, errors.New("thickness and speed must be above 0; " + form)
	}
	m.Material = strings.Join(f[3:], " ")
	return m, nil
}

// measure is a quantity that is no length: its units with how many of the first
// one each has.
type measure struct {
	what  string
	units []unit
}

type unit struct {
	name   string
	factor float64
}

// The pound and the inch are so by definition; a pound-force per square inch
// follows from them and standard gravity.
const (
	Inch  = 25.4           // mm
	Pound = 0.45359237     // kg
	KPSI  = 6.894757293168 // thousand pounds per square inch, MPa
)

var (
	pressures = measure{"pressure", []unit{{"MPa", 1}, {"bar", 0.1}, {"psi", KPSI / 1000}, {"kpsi", KPSI}}}
	flows     = measure{"flow", []unit{{"g/min", 1}, {"kg/min", 1000}, {"lb/min", Pound * 1000}}}
	speeds    = measure{"speed", []unit{{"mm/min", 1}, {"m/min", 1000}, {"in/min", Inch}, {"ft/min", 12 * Inch}}}
	times     = measure{"time", []unit{{"s", 1}, {"min", 60}}}
	prices    = measure{"price", []unit{{"/kg", 1}, {"/lb", 1 / Pound}}}
	densities = measure{"density", []unit{{"kg/m3", 1}, {"g/cm3", 1000}, {"lb/in3", Pound / 16.387064e-6}}}
)

// parse reads a number with one of the units; a bare number is in the first.
func (m *measure) parse(s string) (float64, error) {
	t := strings.TrimSpace(s)
	i := len(t)
	for i > 0 && !(t[i-1] >= '0' && t[i-1] <= '9' || t[i-1] == '.') {
		i--
	}
	// The 3 of m3 is no part of the number.
	for _, u := range m.units {
		if n, ok := strings.CutSuffix(strings.ToLower(t), strings.ToLower(u.name)); ok {
			i = min(i, len(n))
			if strings.HasSuffix(u.name, "3") {
				i = len(n)
			}
		}
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(t[:i]), 64)
	if err != nil {
		return 0, fmt.Errorf("%s is no %s; write a number with a unit (%s)", quote(t), m.what, m.names())
	}
	name := strings.TrimSpace(t[i:])
	if name == "" {
		return v, nil
	}
	for _, u := range m.units {
		if strings.EqualFold(name, u.name) {
			return v * u.factor, nil
		}
	}
	return 0, fmt.Errorf("%s has an unknown unit; write one of %s", quote(t), m.names())
}

func (m *measure) names() string {
	var names []string
	for _, u := range m.units {
		names = append(names, u.name)
	}
	return list(names)
}

// format writes a value so that parse reads it back.
func (m *measure) format(v float64) string {
	return strconv.FormatFloat(v, 'f', -1, 64) + m.units[0].name
}
