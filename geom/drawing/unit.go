package drawing

import (
	"strconv"
	"strings"
)

// Unit is the length unit of a drawing.
type Unit struct {
	Name   string  // "mm", "in", …
	Factor float64 // mm in one drawing unit
	Basis  string  // "header", "job", "flag" or "guess"
	Doubt  string  // why the choice may be wrong; "" if it is sure
	Weight Weight  // of the doubt
	Rival  float64 // mm in one drawing unit as it may be meant instead; 0 where nothing says so
	Sized  bool    // a person says by what factor it is to be scaled; Name is "mm" then
}

// Weight says how grave a doubt of the unit is.
type Weight uint8

// Weights of a doubt.
const (
	Plain Weight = iota
	Light        // what is drawn settles it
	Grave        // larger than any sheet, or joints that no sheet fits
)

// unitRow is one row of the DXF reference's table of $INSUNITS.
type unitRow struct {
	code   int
	name   string // short
	said   string // in sentences
	factor float64
}

// unitTable lists all units of $INSUNITS with their length in mm (DXF
// reference; the survey units by their definition of 1200/3937 m to the foot).
var unitTable = []unitRow{
	{1, "in", "inch", 25.4},
	{2, "ft", "foot", 304.8},
	{3, "mi", "mile", 1609344},
	{4, "mm", "mm", 1},
	{5, "cm", "cm", 10},
	{6, "m", "metre", 1000},
	{7, "km", "km", 1e6},
	{8, "uin", "microinch", 2.54e-5},
	{9, "mil", "mil", 0.0254},
	{10, "yd", "yard", 914.4},
	{11, "angstrom", "angstrom", 1e-7},
	{12, "nm", "nanometre", 1e-6},
	{13, "um", "micron", 1e-3},
	{14, "dm", "decimetre", 100},
	{15, "dam", "decametre", 1e4},
	{16, "hm", "hectometre", 1e5},
	{17, "Gm", "gigametre", 1e12},
	{18, "au", "astronomical unit", 1.495978707e14},
	{19, "ly", "light year", 9.4607304725808e18},
	{20, "pc", "parsec", 3.0856775814913673e19},
	{21, "usft", "US survey foot", 1200000.0 / 3937},
	{22, "usin", "US survey inch", 100000.0 / 3937},
	{23, "usyd", "US survey yard", 3600000.0 / 3937},
	{24, "usmi", "US survey mile", 5280 * 1200000.0 / 3937},
}

// UnitNames are the units offered where one can be asked for by name. All others
// of the table are read, kept and written as well.
var UnitNames = []string{"mm", "cm", "m", "in", "ft"}

func unitByCode(code int) (unitRow, bool) {
	for _, u := range unitTable {
		if u.code == code {
			return u, true
		}
	}
	return unitRow{}, false
}

func unitByName(name string) (unitRow, bool) {
	for _, u := range unitTable {
		if strings.EqualFold(u.name, name) {
			return u, true
		}
	}
	return unitRow{}, false
}

// InsUnits returns the value of $INSUNITS for the unit, 0 if there is none.
func (u Unit) InsUnits() int {
	r, _ := unitByName(u.Name)
	return r.code
}

// Written returns mm in one unit of a drawing that is written in this unit.
func (u Unit) Written() float64 {
	if u.Sized {
		return 1
	}
	return u.Factor
}

// Stated returns the name of the unit that the header states, "" for none.
func (d *Drawing) Stated() string {
	r, _ := unitByCode(d.InsUnits)
	return r.name
}

// FactorOf returns mm in one of a unit by its name, 0 for one that is not known.
func FactorOf(name string) float64 {
	r, _ := unitByName(name)
	return r.factor
}

// Scaled reads "scale:F", an answer to a doubt of the unit, and returns F, mm in one
// drawing unit.
func Scaled(answer string) (factor float64, ok bool) {
	s, ok := strings.CutPrefix(answer, "scale:")
	if !ok {
		return 0, false
	}
	f, err := strconv.ParseFloat(s, 64)
	return f, err == nil && f >= 1e-6 && f <= 1e6
}

// answered returns the unit as a person says it is: a name, or "scale:F".
func (u Unit) answered(answer string) Unit {
	if f, ok := Scaled(answer); ok {
		u.Name, u.Factor, u.Sized, u.Basis = "mm", f, true, "job"
	} else if r, ok := unitByName(answer); ok {
		u.Name, u.Factor, u.Basis = r.name, r.factor, "job"
	}
	return u
}

// Imperial reports whether the unit is one of feet and inches, for
// $MEASUREMENT.
func (u Unit) Imperial() bool {
	r, _ := unitByName(u.Name)
	return r.imperial()
}

func (r unitRow) imperial() bool {
	switch r.code {
	case 1, 2, 3, 8, 9, 10, 21, 22, 23, 24:
		return true
	}
	return false
}
