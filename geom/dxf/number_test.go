package dxf

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestParseFloat(t *testing.T) {
	for s, want := range map[string]float64{
		"0": 0, "-0": 0, "1": 1, "-1.5": -1.5, "+2.25": 2.25, ".5": 0.5, "5.": 5, "1e3": 1000, "1.0E 20": 1e20, "1.0E+020": 1e20,
		"1D2": 100, "123456789012345678901234567890": 123456789012345678901234567890, "0.1": 0.1, "1e-400": 0,
		"0.30000000000000004": 0.30000000000000004, "9007199254740993": 9007199254740993,
		"- 1.5": -1.5, "0.000000000000000000000000001": 1e-27,
	} {
		got, st := parseFloat([]byte(s))
		if got != want || st != numberOK {
			t.Errorf("%q: %v, state %d", s, got, st)
		}
	}
	for s, want := range map[string]float64{"1,5": 1.5, "-0,25": -0.25, ",5": 0.5, "1,5E2": 150} {
		got, st := parseFloat([]byte(s))
		if got != want || st != numberComma {
			t.Errorf("%q: %v, state %d", s, got, st)
		}
	}
	for _, s := range []string{"", "x", "nan", "NaN", "inf", "-Inf", "1.#QNAN", "1.2.3", "1,234.5", "1,2,3", "1e999", "0x10", "1_000", "-", ".", "--1", "1e", "12abc"} {
		if f, st := parseFloat([]byte(s)); st != numberBad {
			t.Errorf("%q: read as %v", s, f)
		}
	}
}

// The quick way gives the same double as strconv, which rounds correctly.
func TestParseFloatExact(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 50_000 {
		f := math.Ldexp(r.NormFloat64(), r.IntN(60)-30)
		s := strconv.FormatFloat(f, "fge"[r.IntN(3)], r.IntN(20)-1, 64)
		want, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if got, st := parseFloat([]byte(s)); got != want || st != numberOK {
			t.Fatalf("%q: %v, want %v, state %d", s, got, want, st)
		}
	}
}

func TestParseHandle(t *testing.T) {
	for s, want := range map[string]uint64{"2F": 0x2f, "ffffffffffffffff": math.MaxUint64, "": 0, "xyz": 0, "12345678901234567": 0, "0": 0} {
		if got := parseHandle([]byte(s)); got != want {
			t.Errorf("%q: %x", s, got)
		}
	}
}

// Sines and cosines are exact at quarter turns and agree with math elsewhere.
func TestSincosDeg(t *testing.T) {
	for deg, want := range map[float64][2]float64{0: {0, 1}, 90: {1, 0}, 180: {0, -1}, 270: {-1, 0}, 360: {0, 1}, -90: {-1, 0}, 450: {1, 0}, -720: {0, 1}} {
		s, c := sincosDeg(deg)
		if s != want[0] || c != want[1] || math.Signbit(s) != (want[0] < 0) {
			t.Errorf("%g: %g %g", deg, s, c)
		}
	}
	for d := -400.0; d < 400; d += 7.3 {
		s, c := sincosDeg(d)
		if ws, wc := math.Sincos(d * math.Pi / 180); abs(s-ws) > 1e-15 || abs(c-wc) > 1e-15 {
			t.Errorf("%g: %g %g", d, s, c)
		}
	}
}
