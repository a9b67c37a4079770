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
	Density       float64  // kg/m3
	Machinability float64  // machinability number of the speed model; 0: none known, a speed must be measured
	Shear         float64  // shear strength, MPa, a rule of thumb from memory; 0: none known
	Scatter       float64  // by how much published machinability numbers differ, as a share
	Source        string   // of density and machinability
	Brittle       bool     // cracks or splits where it is pierced at full pressure
	Hazard        string   // what is dangerous or does not work with it, "" for nothing out of the common
	Ignored       []string // words of the name by which it was found that say nothing known
	words         []string
}

const (
	callister = "density: Callister, Materials Science and Engineering, App. B"
	gere      = "density: Gere, Mechanics of Materials, App. H"
	zeng      = "machinability: Zeng and Kim 1992/1993, from memory"
	likeAlu   = "machinability: that of 6061 (Zeng and Kim, from memory), common practice"
	practice  = "density: common practice, no source"
	noNumber  = "no published machinability known: measure a speed"
)

// Hazards that are told wherever the material is named. All are common practice
// without a source; the caution in each report stands besides.
const (
	tempered = "tempered glass cannot be cut: it bursts as a whole as soon as it is pierced. Have it cut first and tempered after"
	splits   = "laminated sheet splits between its layers where it is pierced at full pressure: pierce at low pressure, from an edge or in a hole drilled before, and try it on scrap"
	armour   = "armour and wear plate differ by a lot in hardness: measure a speed before the time is believed"
)

// materials are the built-in ones. Shear strengths are typical ones of common tempers
// (5052-H32, 6061-T6, 2024-T3, 7075-T6: Aluminum Association typical, from memory;
// plain aluminium as 6061-T6; steels three quarters of their tensile strength;
// copper and brass half hard, from memory). The words are what a name must hold to mean
// one; the one with the most words found is meant.
var materials = []Material{
	{Name: "aluminium 6061", Density: 2700, Shear: 207, Machinability: 213, Scatter: 0.03, Source: callister + "; " + zeng, words: []string{"6061"}},
	{Name: "aluminium 5052", Density: 2680, Shear: 138, Machinability: 213, Scatter: 0.05, Source: "density: Aluminum Association nominal, from memory; " + likeAlu, words: []string{"5052"}},
	{Name: "aluminium 2024", Density: 2770, Shear: 283, Machinability: 213, Scatter: 0.08, Source: callister + "; " + likeAlu, words: []string{"2024"}},
	{Name: "aluminium 7075", Density: 2800, Shear: 331, Machinability: 213, Scatter: 0.08, Source: callister + "; " + likeAlu, words: []string{"7075"}},
	{Name: "aluminium", Density: 2700, Shear: 207, Machinability: 213, Scatter: 0.05, Source: callister + "; " + zeng, words: []string{"aluminium"}},
	{Name: "aluminium bronze", Density: 7600, Source: practice + "; " + noNumber, words: []string{"aluminium", "bronze"}},
	{Name: "bronze", Density: 8800, Source: practice + "; " + noNumber, words: []string{"bronze"}},
	{Name: "mild steel", Density: 7850, Shear: 300, Machinability: 87, Scatter: 0.03, Source: callister + "; " + zeng, words: []string{"steel"}},
	{Name: "stainless steel 304", Density: 8000, Shear: 400, Machinability: 82, Scatter: 0.03, Source: callister + "; " + zeng, words: []string{"steel", "stainless"}},
	{Name: "stainless steel 316", Density: 8000, Shear: 400, Machinability: 83, Scatter: 0.04, Source: callister + "; " + zeng, words: []string{"steel", "stainless", "316"}},
	{Name: "tool steel, hardened", Density: 7850, Machinability: 80, Scatter: 0.05, Source: "density: as mild steel; " + zeng, words: []string{"steel", "tool"}},
	{Name: "hardened steel", Density: 7850, Machinability: 80, Scatter: 0.15, Source: "density: as mild steel; machinability: that of hardened tool steel (Zeng and Kim, from memory), common practice", words: []string{"steel", "hardened"}},
	{Name: "armour steel", Density: 7850, Source: "density: as mild steel; " + noNumber, Hazard: armour, words: []string{"steel", "armour"}},
	{Name: "titanium", Density: 4510, Machinability: 115, Scatter: 0.03, Source: gere + " (4500); " + zeng, words: []string{"titanium"}},
	{Name: "copper", Density: 8940, Shear: 180, Machinability: 110, Scatter: 0.03, Source: callister + "; " + zeng, words: []string{"copper"}},
	{Name: "brass", Density: 8530, Shear: 220, Source: gere + " (8400 to 8600); " + noNumber, words: []string{"brass"}},
	{Name: "cast iron", Density: 7200, Machinability: 121, Scatter: 0.15, Source: practice + "; " + zeng + ", doubtful", words: []string{"iron"}},
	{Name: "carbon fibre laminate", Density: 1600, Source: practice + "; " + noNumber, Brittle: true, Hazard: splits, words: []string{"carbon", "fibre"}},
	{Name: "glass fibre laminate", Density: 1900, Source: practice + "; " + noNumber, Brittle: true, Hazard: splits, words: []string{"glass", "fibre"}},
	{Name: "glass", Density: 2500, Machinability: 596, Scatter: 0.03, Source: gere + " (2400 to 2800); " + zeng, Brittle: true, words: []string{"glass"}},
	{Name: "tempered glass", Density: 2500, Source: gere + " (2400 to 2800)", Brittle: true, Hazard: tempered, words: []string{"glass", "tempered"}},
	{Name: "laminated glass", Density: 2500, Source: gere + " (2400 to 2800); " + noNumber, Brittle: true, Hazard: splits, words: []string{"glass", "laminated"}},
	{Name: "granite", Density: 2700, Machinability: 322, Scatter: 0.05, Source: gere + " (2600 to 2900); " + zeng, Brittle: true, words: []string{"granite"}},
	{Name: "marble", Density: 2700, Machinability: 535, Scatter: 0.05, Source: gere + " (2600 to 2900); " + zeng, Brittle: true, words: []string{"marble"}},
	{Name: "alumina ceramic", Density: 3900, Machinability: 11.5, Scatter: 0.2, Source: practice + "; machinability: 10 to 13 for 94 to 99 %, Zeng and Kim, from memory", Brittle: true, words: []string{"alumina"}},
	{Name: "silicon carbide", Density: 3100, Machinability: 12.6, Scatter: 0.2, Source: practice + "; " + zeng, Brittle: true, words: []string{"silicon", "carbide"}},
	{Name: "acrylic", Density: 1190, Machinability: 690, Scatter: 0.03, Source: "density: ISO 7823-1, from memory; " + zeng, Brittle: true, words: []string{"acrylic"}},
	{Name: "nylon", Density: 1140, Machinability: 538, Scatter: 0.1, Source: practice + "; " + zeng, words: []string{"nylon"}},
	{Name: "nylon, glass-filled", Density: 1350, Source: practice + "; " + noNumber, words: []string{"nylon", "filled"}},
	{Name: "polypropylene", Density: 905, Machinability: 985, Scatter: 0.1, Source: practice + "; " + zeng, words: []string{"polypropylene"}},
	{Name: "birch plywood", Density: 680, Source: "density: handbook value 640 to 700, from memory; " + noNumber, words: []string{"plywood"}},
}

// synonyms are other words, and what they stand for in the table.
var synonyms = map[string][]string{
	"aluminum": {"aluminium"}, "alu": {"aluminium"}, "al": {"aluminium"}, "a36": {"steel"}, "s235": {"steel"}, "s355": {"steel"},
	"304": {"steel", "stainless"}, "304l": {"steel", "stainless"}, "316": {"steel", "stainless", "316"}, "316l": {"steel", "stainless", "316"},
	"inox": {"steel", "stainless"}, "stainless": {"steel", "stainless"}, "pmma": {"acrylic"}, "ply": {"plywood"}, "pp": {"polypropylene"},
	"toughened": {"tempered"}, "laminate": {"laminated"}, "armor": {"steel", "armour"}, "armour": {"steel", "armour"}, "armored": {"steel", "armour"},
	"armoured": {"steel", "armour"}, "hard": {"hardened"}, "quenched": {"hardened"}, "fiber": {"fibre"}, "fiberglass": {"glass", "fibre"},
	"cfrp": {"carbon", "fibre"}, "gfrp": {"glass", "fibre"}, "g10": {"glass", "fibre"}, "fr4": {"glass", "fibre"}, "pa66": {"nylon"}, "pa6": {"nylon"}, "polyamide": {"nylon"},
	"al2o3": {"alumina"}, "corundum": {"alumina"},
}

// plain are words that say nothing of the material: form, finish and the like.
var plain = map[string]bool{
	"sheet": true, "plate": true, "stock": true, "grade": true, "alloy": true, "cold": true, "hot": true, "rolled": true, "mild": true, "cast": true, "c": true, "p": true,
	"annealed": true, "polished": true, "birch": true, "bare": true, "clad": true, "of": true, "in": true, "mm": true, "thick": true, "gauge": true, "ga": true, "astm": true, "en": true, "ceramic": true,
}

// isPlain reports whether a word of a name says nothing of the material: one of
// plain, a temper such as H32 or T651, or a size.
func isPlain(w string) bool {
	if plain[w] {
		return true
	}
	digits := strings.TrimLeft(w, "htofx")
	return digits != "" && strings.Trim(strings.TrimSuffix(digits, "mm"), "0123456789") == ""
}

// FindMaterial returns the material that a name means: one of the job's own by
// its whole name, in any case, else a built-in one by the words in it, such as
// "5052-H32" or "Aluminum 5052", with the words that it could make nothing of. ok is
// false where none is meant.
func FindMaterial(name string, own []job.Material) (m Material, ok bool) {
	for _, o := range own {
		if strings.EqualFold(strings.TrimSpace(o.Name), strings.TrimSpace(name)) {
			return Material{Name: o.Name, Density: o.Density, Machinability: o.Machinability, Shear: o.Shear, Scatter: 0.03, Source: "the job file"}, true
		}
	}
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if i := slices.Index(words, "oxide"); i > 0 && slices.Contains([]string{"aluminium", "aluminum"}, words[i-1]) {
		words = slices.Replace(words, i-1, i+1, "alumina")
	}
	stands := func(w string) []string {
		if s, known := synonyms[w]; known {
			return s
		}
		return []string{w}
	}
	have := map[string]bool{}
	for _, w := range words {
		for _, s := range stands(w) {
			have[s] = true
		}
	}
	most := 0
	for _, c := range materials {
		all := !slices.ContainsFunc(c.words, func(w string) bool { return !have[w] })
		if all && len(c.words) > most {
			m, ok, most = c, true, len(c.words)
		}
	}
	if !ok {
		return m, false
	}
	of := strings.ToLower(m.Name)
	for _, w := range words {
		means := slices.ContainsFunc(stands(w), func(s string) bool { return slices.Contains(m.words, s) || strings.Contains(of, s) })
		if !means && !isPlain(w) {
			m.Ignored = append(m.Ignored, w)
		}
	}
	return m, true
}

// Mass returns the mass, kg, of an area (mm2) of a sheet of the thickness (mm).
func (m Material) Mass(area, thickness float64) float64 { return area * thickness * 1e-9 * m.Density }
