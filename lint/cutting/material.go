package cutting

import (
	"slices"
	"strings"
	"unicode"

	"sluice/lint/job"
)

// Material is a kind of stock.
type Material struct {
	Name          string
	Density       float64 // kg/m3
	Machinability float64 // machinability number of the speed model; 0: none known, a speed must be measured
	Scatter       float64 // by how much published machinability numbers differ, as a share
	Source        string  // of density and machinability
	words         []string
}

const (
	callister = "density: Callister, Materials Science and Engineering, App. B"
	gere      = "density: Gere, Mechanics of Materials, App. H"
	zeng      = "machinability: Zeng and Kim 1992/1993, from memory"
	likeAlu   = "machinability: that of 6061 (Zeng and Kim, from memory), common practice"
	noNumber  = "no published machinability known: measure a speed"
)

// materials are the built-in ones. The words are what a name must hold to mean
// one; the one with the most words found is meant.
var materials = []Material{
	{"aluminium 6061", 2700, 213, 0.03, callister + "; " + zeng, []string{"6061"}},
	{"aluminium 5052", 2680, 213, 0.05, "density: Aluminum Association nominal, from memory; " + likeAlu, []string{"5052"}},
	{"aluminium 2024", 2770, 213, 0.08, callister + "; " + likeAlu, []string{"2024"}},
	{"aluminium 7075", 2800, 213, 0.08, callister + "; " + likeAlu, []string{"7075"}},
	{"aluminium", 2700, 213, 0.05, callister + "; " + zeng, []string{"aluminium"}},
	{"mild steel", 7850, 87, 0.03, callister + "; " + zeng, []string{"steel"}},
	{"stainless steel 304", 8000, 82, 0.03, callister + "; " + zeng, []string{"steel", "stainless"}},
	{"stainless steel 316", 8000, 83, 0.04, callister + "; " + zeng, []string{"steel", "stainless", "316"}},
	{"tool steel, hardened", 7850, 80, 0.05, "density: as mild steel; " + zeng, []string{"steel", "tool"}},
	{"titanium", 4510, 115, 0.03, gere + " (4500); " + zeng, []string{"titanium"}},
	{"copper", 8940, 110, 0.03, callister + "; " + zeng, []string{"copper"}},
	{"brass", 8530, 0, 0, gere + " (8400 to 8600); " + noNumber, []string{"brass"}},
	{"cast iron", 7200, 121, 0.15, "density: common practice, no source; " + zeng + ", doubtful", []string{"iron"}},
	{"glass", 2500, 596, 0.03, gere + " (2400 to 2800); " + zeng, []string{"glass"}},
	{"granite", 2700, 322, 0.05, gere + " (2600 to 2900); " + zeng, []string{"granite"}},
	{"marble", 2700, 535, 0.05, gere + " (2600 to 2900); " + zeng, []string{"marble"}},
	{"acrylic", 1190, 690, 0.03, "density: ISO 7823-1, from memory; " + zeng, []string{"acrylic"}},
	{"nylon", 1140, 538, 0.1, "density: common practice, no source; " + zeng, []string{"nylon"}},
	{"polypropylene", 905, 985, 0.1, "density: common practice, no source; " + zeng, []string{"polypropylene"}},
	{"birch plywood", 680, 0, 0, "density: handbook value 640 to 700, from memory; " + noNumber, []string{"plywood"}},
}

// synonyms are other words for those of the table.
var synonyms = map[string]string{
	"aluminum": "aluminium", "alu": "aluminium", "al": "aluminium", "a36": "steel", "s235": "steel", "s355": "steel",
	"304": "stainless", "316l": "316", "inox": "stainless", "pmma": "acrylic", "ply": "plywood", "pp": "polypropylene",
}

// FindMaterial returns the material that a name means: one of the job's own by
// its whole name, in any case, else a built-in one by the words in it, such as
// "5052-H32" or "Aluminum 5052". ok is false where none is meant.
func FindMaterial(name string, own []job.Material) (m Material, ok bool) {
	for _, o := range own {
		if strings.EqualFold(strings.TrimSpace(o.Name), strings.TrimSpace(name)) {
			return Material{Name: o.Name, Density: o.Density, Machinability: o.Machinability, Scatter: 0.03, Source: "the job file"}, true
		}
	}
	have := map[string]bool{}
	for _, w := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		if s, known := synonyms[w]; known {
			if w == "316l" || w == "304" {
				have["steel"], have["stainless"] = true, true
			}
			w = s
		}
		if w == "316" || w == "stainless" {
			have["steel"], have["stainless"] = true, true
		}
		have[w] = true
	}
	most := 0
	for _, c := range materials {
		all := !slices.ContainsFunc(c.words, func(w string) bool { return !have[w] })
		if all && len(c.words) > most {
			m, ok, most = c, true, len(c.words)
		}
	}
	return m, ok
}

// Mass returns the mass, kg, of an area (mm2) of a sheet of the thickness (mm).
func (m Material) Mass(area, thickness float64) float64 { return area * thickness * 1e-9 * m.Density }
