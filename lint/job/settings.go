package job

import "slices"

// setting is one key of the job file: where it stands, what it may hold and the
// field that keeps it. Reading, printing and the flags of the command line all
// go by this list.
type setting struct {
	table, key string
	former     string // what the key was called once; still read
	about      string // the comment above it in a printed job file
	kind       kind
	words      []string       // kind word: what it may be; kind length: "auto" where it may be that
	least      bool           // kind length: must be above 0
	zero       bool           // of a table that may stand several times: 0 is said, not left out
	most       float64        // kind length, amount, number: largest, in the field's unit; 0: LongestLength
	low        float64        // kind amount, number: smallest
	measure    *measure       // kind amount: what it measures
	at         func(*Job) any // *float64, *string, *bool, *[]float64 or *[]string
}

// kind is what a setting holds.
type kind uint8

const (
	length    kind = iota // a length, mm
	optional              // a length, or "" (0) for unset
	size                  // two lengths, or [] for unset
	share                 // a number from 0 to 1
	word                  // one of words
	text                  // any line of text
	onOff                 // true or false
	layers                // a list of layer patterns
	amount                // a quantity other than a length, with a unit
	number                // a number
	speedList             // a list of measured speeds
	edge                  // the word of an edge
)

// name is how messages and Set call the setting.
func (s *setting) name() string {
	if s.table == "" {
		return s.key
	}
	return s.table + "." + s.key
}

// tables are the tables of the job file in the order in which they are printed,
// with the comment above each. Top-level keys come first.
var tables = []struct{ name, about string }{
	{"", ""},
	{"jet", "The stream, and how the machine moves it. All but kerf is for times, costs and paths."},
	{"sheet", "The stock on the table."},
	{"table", "The slats that carry the sheet."},
	{"limits", "Tolerances and least sizes."},
	{"tabs", "Breakaway tabs: pieces of outline left uncut, so that a part cannot tip or fall."},
	{"labels", "Numbers etched on the parts."},
	{"layers", "Which layers are not cut, by name in any case (globs: *, ?, [a-z], {a,b}), by a\n" +
		"word of the name (word:etch) or as \"color:2\". All else that is visible is cut."},
	{"fit", "How loosely parts sit in each other."},
	{"cost", "Prices and the work by hand; a price of 0 is unset and left out of the sum."},
	{"layout", "Laying the parts out anew (fix --layout)."},
	{"report", "How reports are written; JSON and forms for programs stay in mm."},
	{"repair", "What fix does where a person must choose; \"ask\" leaves it and tells."},
}

const (
	rulesAbout = "Gravity of each rule: \"error\", \"warning\", \"note\", or \"off\" to switch it off."

	headAbout = "Job file for sluice. Lengths are quoted with a unit (\"0.9mm\", \"0.035in\", \"3/16in\", \"2ft\")\n" +
		"or bare numbers in mm. A setting that is left out keeps its default."
)

var settings = []setting{
	{key: "units", kind: word, words: []string{"auto", "mm", "cm", "m", "in", "ft"},
		about: "The unit the drawing is drawn in; \"auto\" goes by the drawing.",
		at:    func(j *Job) any { return &j.Units }},

	{table: "jet", key: "kerf", kind: length, least: true, most: 50,
		about: "Width the stream removes.",
		at:    func(j *Job) any { return &j.Jet.Kerf }},
	{table: "jet", key: "pressure", kind: amount, measure: &pressures, low: 50, most: 700,
		about: "Pressure of the water before the orifice (MPa, bar, psi, kpsi).",
		at:    func(j *Job) any { return &j.Jet.Pressure }},
	{table: "jet", key: "orifice", kind: length, least: true, most: 2,
		about: "Bore of the orifice.",
		at:    func(j *Job) any { return &j.Jet.Orifice }},
	{table: "jet", key: "mixing_tube", kind: length, least: true, most: 5,
		about: "Bore of the mixing tube, usually about three times that of the orifice.",
		at:    func(j *Job) any { return &j.Jet.MixingTube }},
	{table: "jet", key: "abrasive", kind: amount, measure: &flows, low: 1, most: 5000,
		about: "Flow of the abrasive (g/min, kg/min, lb/min); the speeds are for garnet.",
		at:    func(j *Job) any { return &j.Jet.Abrasive }},
	{table: "jet", key: "edge", former: "quality", kind: edge, words: edgeWords(),
		about: "How smooth the edge is to be: \"through\" (parted, no more), \"coarse\", \"plain\", \"smooth\" or \"fine\".",
		at:    func(j *Job) any { return &j.Jet.Quality }},
	{table: "jet", key: "speed_at", kind: speedList,
		about: "Speeds measured on this machine, which the estimate goes by instead of the model:\n" +
			"[\"4.76mm plain 560mm/min\", \"1/4in plain 15in/min mild steel\"].",
		at: func(j *Job) any { return &j.Jet.SpeedAt }},
	{table: "jet", key: "top_speed", kind: amount, measure: &speeds, low: 1, most: 100_000,
		about: "Fastest speed at which the table follows an outline.",
		at:    func(j *Job) any { return &j.Jet.TopSpeed }},
	{table: "jet", key: "etch_speed", kind: amount, measure: &speeds, low: 1, most: 100_000,
		about: "Speed of marks.",
		at:    func(j *Job) any { return &j.Jet.EtchSpeed }},
	{table: "jet", key: "rapid_speed", kind: amount, measure: &speeds, low: 1, most: 1_000_000,
		about: "Speed from cut to cut.",
		at:    func(j *Job) any { return &j.Jet.RapidSpeed }},
	{table: "jet", key: "pierce", kind: number, most: 1000,
		about: "A pierce takes as long as a barely parting cut of this many thicknesses.",
		at:    func(j *Job) any { return &j.Jet.Pierce }},
	{table: "jet", key: "start_time", kind: amount, measure: &times, most: 600,
		about: "Time for valve, abrasive and head at every start (s, min).",
		at:    func(j *Job) any { return &j.Jet.StartTime }},
	{table: "jet", key: "lead", kind: optional, most: 100,
		about: "Length of lead-ins; \"\" is a kerf and half the thickness, at least two kerfs.",
		at:    func(j *Job) any { return &j.Jet.Lead }},
	{table: "jet", key: "lead_margin", kind: length, most: 100,
		about: "Strip of scrap to leave between a lead and any other cut.",
		at:    func(j *Job) any { return &j.Jet.LeadMargin }},
	{table: "jet", key: "overlap", kind: length, most: 100,
		about: "How far a closed cut runs on past its start, so that no nib stays (common practice: 1 to 3 mm).",
		at:    func(j *Job) any { return &j.Jet.Overlap }},
	{table: "jet", key: "etch_abrasive", kind: onOff,
		about: "Marks take abrasive too; false where the machine etches with water alone.",
		at:    func(j *Job) any { return &j.Jet.EtchAbrasive }},

	{table: "sheet", key: "material", kind: text,
		about: "Name of the material, for the report.",
		at:    func(j *Job) any { return &j.Sheet.Material }},
	{table: "sheet", key: "thickness", kind: optional, most: 1000,
		about: "Thickness; \"\" is unset: limits that depend on it use the kerf alone.",
		at:    func(j *Job) any { return &j.Sheet.Thickness }},
	{table: "sheet", key: "size", kind: size,
		about: "Width and height, such as [\"48in\", \"96in\"]; [] is unset: no part is off the sheet.",
		at:    func(j *Job) any { return &j.Sheet.Size }},
	{table: "sheet", key: "origin", kind: word, words: []string{"zero", "drawing"},
		about: "Lower left corner of the sheet: \"zero\" is 0,0; \"drawing\" is the lower left of what is drawn,\n" +
			"less the margin.",
		at: func(j *Job) any { return &j.Sheet.Origin }},
	{table: "sheet", key: "margin", kind: length,
		about: "Strip along the sheet's edges to keep free.",
		at:    func(j *Job) any { return &j.Sheet.Margin }},

	{table: "table", key: "slat_pitch", kind: length, least: true,
		about: "Distance from slat to slat.",
		at:    func(j *Job) any { return &j.Table.SlatPitch }},
	{table: "table", key: "slats_along", kind: word, words: []string{"x", "y", "both"},
		about: "The drawing's axis along which the slats run; \"both\": parts must stand either way.",
		at:    func(j *Job) any { return &j.Table.SlatsAlong }},
	{table: "table", key: "tip_share", kind: share,
		about: "Share of the slat positions (0 to 1) in which a part may be unheld before it is told.",
		at:    func(j *Job) any { return &j.Table.TipShare }},
	{table: "table", key: "stand_margin", kind: length, most: 1000,
		about: "How far inside the points it rests on the middle of a part's mass must lie.",
		at:    func(j *Job) any { return &j.Table.StandMargin }},
	{table: "table", key: "push_share", kind: share,
		about: "Share (0 to 1) of the stream's push that a part must bear where its cut ends on an edge beyond\n" +
			"the slats; by its weight, so that material and thickness must be set. 0: by weight alone.",
		at: func(j *Job) any { return &j.Table.PushShare }},

	{table: "limits", key: "join", kind: length, least: true, most: 10,
		about: "Ends nearer than this are one place.",
		at:    func(j *Job) any { return &j.Limits.Join }},
	{table: "limits", key: "gap", kind: length, most: 100,
		about: "Gaps in an outline up to this are closed by fix.",
		at:    func(j *Job) any { return &j.Limits.Gap }},
	{table: "limits", key: "same", kind: length, least: true, most: 10,
		about: "Pieces nearer than this all along are drawn twice.",
		at:    func(j *Job) any { return &j.Limits.Same }},
	{table: "limits", key: "curve", kind: length, least: true, most: 10,
		about: "Largest distance between a curve and the arcs put in its place.",
		at:    func(j *Job) any { return &j.Limits.Curve }},
	{table: "limits", key: "spacing", kind: length,
		about: "Strip of scrap to leave between the kerfs of two parts.",
		at:    func(j *Job) any { return &j.Limits.Spacing }},
	{table: "limits", key: "web", kind: optional,
		about: "Least material between two cuts; \"\" is the larger of 1.5 kerf and half the thickness.",
		at:    func(j *Job) any { return &j.Limits.Web }},
	{table: "limits", key: "hole", kind: optional,
		about: "Least diameter of a hole; \"\" is the larger of 2 kerf and half the thickness.",
		at:    func(j *Job) any { return &j.Limits.Hole }},

	{table: "tabs", key: "parts", kind: word, words: []string{"small", "all", "none"},
		about: "Parts that get tabs: \"small\" (those that can tip or fall between the slats), \"all\" or \"none\".",
		at:    func(j *Job) any { return &j.Tabs.Parts }},
	{table: "tabs", key: "width", kind: length, least: true, most: 100, words: []string{"auto"},
		about: "Width left after cutting; the gap is drawn a kerf wider. \"auto\" is as wide as hands can break\n" +
			"in the sheet's material and thickness, as far as they are known: 0.3 to 0.8 mm.",
		at: func(j *Job) any { return &j.Tabs.Width }},
	{table: "tabs", key: "slugs", kind: onOff,
		about: "Also hold the slugs of holes that can tip up between the slats.",
		at:    func(j *Job) any { return &j.Tabs.Slugs }},

	{table: "labels", key: "parts", kind: word, words: []string{"all", "none"},
		about: "Parts that get a number: \"all\" or \"none\".",
		at:    func(j *Job) any { return &j.Labels.Parts }},
	{table: "labels", key: "height", kind: length, least: true, most: 1000,
		about: "Height of the numbers.",
		at:    func(j *Job) any { return &j.Labels.Height }},
	{table: "labels", key: "min_height", kind: length, least: true, most: 1000,
		about: "Height down to which they may shrink to fit.",
		at:    func(j *Job) any { return &j.Labels.MinHeight }},
	{table: "labels", key: "face", kind: word, words: []string{"front", "back"},
		about: "Face that is up on the table; \"back\" mirrors the numbers.",
		at:    func(j *Job) any { return &j.Labels.Face }},
	{table: "labels", key: "text", kind: text,
		about: "What is written: {number}, {count} (equal parts), {name} (layer or block of the source).",
		at:    func(j *Job) any { return &j.Labels.Text }},

	{table: "layers", key: "etch", kind: layers,
		about: "Marked at low power. word:etch means that word in a layer's name, and its usual forms:\n" +
			"\"Etched 2\", but not \"Sketch\".",
		at: func(j *Job) any { return &j.Layers.Etch }},
	{table: "layers", key: "ignore", kind: layers,
		about: "Left out and told. plot:never means DEFPOINTS and layers set not to plot.",
		at:    func(j *Job) any { return &j.Layers.Ignore }},
	{table: "layers", key: "hatch", kind: word, words: []string{"ignore", "outline"},
		about: "Boundaries of hatches and fills: \"ignore\" leaves them out and tells, \"outline\" cuts them.",
		at:    func(j *Job) any { return &j.Layers.Hatch }},

	{table: "fit", key: "class", kind: word, words: []string{"own", "press", "slip", "loose"},
		about: "How much wider than the sheet slots are: \"press\" 0.05 mm, \"slip\" 0.15 mm,\n" +
			"\"loose\" 0.38 mm, or \"own\": the clearance below.",
		at: func(j *Job) any { return &j.Fit.Class }},
	{table: "fit", key: "clearance", kind: length, most: 100,
		about: "Added to the width of a slot that is widened or refitted.",
		at:    func(j *Job) any { return &j.Fit.Clearance }},
	{table: "fit", key: "measured", kind: optional, most: 1000,
		about: "Thickness as measured on the sheet; \"\": its nominal thickness and the tolerance.",
		at:    func(j *Job) any { return &j.Fit.Measured }},
	{table: "fit", key: "tolerance", kind: optional, most: 50,
		about: "By which the sheet may be thicker or thinner; \"\": by the published tables for its\n" +
			"material, if there is one.",
		at: func(j *Job) any { return &j.Fit.Tolerance }},
	{table: "fit", key: "taper", kind: length, most: 5, words: []string{"auto"},
		about: "By which the jet leaves a slot narrower at the bottom of the sheet (often 0.08 to 0.25 mm); 0 is\n" +
			"not reckoned, \"auto\" goes by thickness and edge: a rule of thumb for metal.",
		at: func(j *Job) any { return &j.Fit.Taper }},
	{table: "fit", key: "refit", kind: word, words: []string{"ask", "slots"},
		about: "Slots that do not suit the sheet: \"ask\", or \"slots\" to make slots, notches and tabs suit it.",
		at:    func(j *Job) any { return &j.Fit.Refit }},
	{table: "fit", key: "corner", kind: word, words: []string{"none", "dogbone", "tee"},
		about: "Round relief in the inside corners of joints, so that square tabs seat: \"none\", \"dogbone\"\n" +
			"(on the bisector) or \"tee\" (on the shorter wall).",
		at: func(j *Job) any { return &j.Fit.Corner }},

	{table: "cost", key: "currency", kind: text,
		about: "What prices are in, for the report.",
		at:    func(j *Job) any { return &j.Cost.Currency }},
	{table: "cost", key: "sheet_price", kind: number, most: 1e9,
		about: "Price of one whole sheet.",
		at:    func(j *Job) any { return &j.Cost.SheetPrice }},
	{table: "cost", key: "sheet_share", kind: word, words: []string{"box", "length", "whole", "offcut"},
		about: "Share of the sheet that the kit pays: \"box\" (the parts' boxes), \"length\" (used length of the\n" +
			"sheet), \"whole\", or \"offcut\" (the whole less what is worth keeping of it).",
		at: func(j *Job) any { return &j.Cost.SheetShare }},
	{table: "cost", key: "machine_rate", kind: number, most: 1e9,
		about: "Price of a machine hour.",
		at:    func(j *Job) any { return &j.Cost.MachineRate }},
	{table: "cost", key: "labour_rate", kind: number, most: 1e9,
		about: "Price of an hour of work by hand.",
		at:    func(j *Job) any { return &j.Cost.LabourRate }},
	{table: "cost", key: "abrasive_price", kind: amount, measure: &prices, most: 1e9,
		about: "Price of the abrasive, per kg, or per lb as in \"0.30/lb\".",
		at:    func(j *Job) any { return &j.Cost.AbrasivePrice }},
	{table: "cost", key: "setup_minutes", kind: number, most: 1e6,
		about: "Work to set up, once for all kits.",
		at:    func(j *Job) any { return &j.Cost.SetupMinutes }},
	{table: "cost", key: "minutes_per_part", kind: number, most: 1e6,
		about: "Work on each part: sanding, sorting.",
		at:    func(j *Job) any { return &j.Cost.MinutesPerPart }},
	{table: "cost", key: "minutes_per_tab", kind: number, most: 1e6,
		about: "Work on each tab: breaking it and dressing what is left.",
		at:    func(j *Job) any { return &j.Cost.MinutesPerTab }},
	{table: "cost", key: "kits", kind: number, low: 1, most: 1e6,
		about: "How many of the drawing are cut.",
		at:    func(j *Job) any { return &j.Cost.Kits }},

	{table: "layout", key: "seconds", kind: number, low: 1, most: 86400,
		about: "Search for this long; counted as steps of work, so that the result does not depend on the clock.",
		at:    func(j *Job) any { return &j.Layout.Seconds }},
	{table: "layout", key: "deadline", kind: amount, measure: &times, most: 86400,
		about: "End the search after this long by the clock (s, min), with the best found; 0: no end but seconds.",
		at:    func(j *Job) any { return &j.Layout.Deadline }},
	{table: "layout", key: "seed", kind: number, most: 1e9,
		about: "The same seed and time give the same layout.",
		at:    func(j *Job) any { return &j.Layout.Seed }},
	{table: "layout", key: "sheets", kind: number, low: 1, most: 1000,
		about: "How many sheets there are.",
		at:    func(j *Job) any { return &j.Layout.Sheets }},
	{table: "layout", key: "turns", kind: word, words: turnWords(),
		about: "How parts may be turned: by a \"quarter\", by a \"half\" (along a grain), \"none\", or \"free\": to\n" +
			"any angle, which takes longer.",
		at: func(j *Job) any { return &j.Layout.Turns }},
	{table: "layout", key: "grain", kind: word, words: grainWords(),
		about: "Direction of the sheet's grain; the drawing's x is laid along it, either way.",
		at:    func(j *Job) any { return &j.Layout.Grain }},
	{table: "layout", key: "gap", kind: optional, most: 1000,
		about: "Least distance between two parts; \"\" is what kerf, spacing and leads need.",
		at:    func(j *Job) any { return &j.Layout.Gap }},
	{table: "layout", key: "remnant", kind: text,
		about: "A drawing of the stock in place of a whole sheet: its outline, and holes already cut out of it.",
		at:    func(j *Job) any { return &j.Layout.Remnant }},

	{table: "report", key: "show_units", kind: word, words: []string{"auto", "mm", "in"},
		about: "Units to tell figures in: \"mm\", \"in\" (mm beside), or \"auto\": as the job or the\n" +
			"drawing is.",
		at: func(j *Job) any { return &j.Report.ShowUnits }},

	{table: "repair", key: "loose_marks", kind: word, words: []string{"ask", "etch", "cut", "note", "drop", "ignore"},
		about: "Open paths inside a part: \"ask\" (on NOTE, told), \"etch\", \"cut\", \"note\" or \"drop\" (\"ignore\").",
		at:    func(j *Job) any { return &j.Repair.LooseMarks }},
	{table: "repair", key: "narrow_slot", kind: word, words: []string{"ask", "widen", "etch"},
		about: "Slots narrower than the kerf: \"ask\", \"widen\" to kerf and clearance, or \"etch\" their middle.",
		at:    func(j *Job) any { return &j.Repair.NarrowSlot }},
	{table: "repair", key: "small_hole", kind: word, words: []string{"ask", "etch"},
		about: "Holes too small to pierce: \"ask\", or \"etch\" a cross to drill by.",
		at:    func(j *Job) any { return &j.Repair.SmallHole }},
	{table: "repair", key: "live_text", kind: word, words: []string{"ask", "etch"},
		about: "Text without a path: \"ask\", or \"etch\" it in stroke letters.",
		at:    func(j *Job) any { return &j.Repair.LiveText }},
	{table: "repair", key: "dense_curve", kind: word, words: []string{"ask", "refit"},
		about: "Runs of short lines that stray further than curve from their arc: \"ask\" or \"refit\".",
		at:    func(j *Job) any { return &j.Repair.DenseCurve }},
	{table: "repair", key: "border", kind: word, words: []string{"ask", "ignore", "part"},
		about: "Borders of sheets and drawing frames: \"ask\" and \"ignore\" carry them on NOTE, \"part\" cuts them.",
		at:    func(j *Job) any { return &j.Repair.Border }},
	{table: "repair", key: "steps", kind: word, words: []string{"ask", "smaller", "both"},
		about: "Stepped holes: \"ask\" and \"smaller\" cut the innermost outline alone, \"both\" cuts all.",
		at:    func(j *Job) any { return &j.Repair.Steps }},
	{table: "repair", key: "lettering", kind: word, words: []string{"ask", "cut", "etch", "leave"},
		about: "Lettering drawn as outlines: \"ask\" and \"leave\" carry it on NOTE, or \"cut\" or \"etch\".",
		at:    func(j *Job) any { return &j.Repair.Lettering }},
}

// tableNames returns the tables a job file can have.
func tableNames() []string {
	var names []string
	for _, t := range tables[1:] {
		names = append(names, t.name)
	}
	names = append(names, "rules")
	for i := range entryTables {
		if !slices.Contains(names, entryTables[i].name) {
			names = append(names, entryTables[i].name)
		}
	}
	return names
}

// keysOf returns the keys of a table, "" for the top level.
func keysOf(table string) []string {
	var keys []string
	for i := range settings {
		if settings[i].table == table {
			keys = append(keys, settings[i].key)
		}
	}
	return keys
}

// find returns the setting of that name, nil if there is none.
func find(table, key string) *setting {
	for i := range settings {
		if s := &settings[i]; s.table == table && (s.key == key || s.former != "" && s.former == key) {
			return s
		}
	}
	return nil
}

// Words returns what the setting called "table.key" may be, nil where that is
// not a list of words.
func Words(name string) []string {
	for i := range settings {
		if s := &settings[i]; s.name() == name {
			return append([]string(nil), s.words...)
		}
	}
	return nil
}
