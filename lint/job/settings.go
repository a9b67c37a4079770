package job

// setting is one key of the job file: where it stands, what it may hold and the
// field that keeps it. Reading, printing and the flags of the command line all
// go by this list.
type setting struct {
	table, key string
	about      string // the comment above it in a printed job file
	kind       kind
	words      []string       // kind word: what it may be
	least      bool           // kind length: must be above 0
	most       float64        // kind length: largest, mm; 0: LongestLength
	at         func(*Job) any // *float64, *string, *bool, *[]float64 or *[]string
}

// kind is what a setting holds.
type kind uint8

const (
	length   kind = iota // a length, mm
	optional             // a length, or "" (0) for unset
	size                 // two lengths, or [] for unset
	share                // a number from 0 to 1
	word                 // one of words
	text                 // any line of text
	onOff                // true or false
	layers               // a list of layer patterns
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
	{"jet", "The stream."},
	{"sheet", "The stock on the table."},
	{"table", "The slats that carry the sheet."},
	{"limits", "Tolerances and least sizes."},
	{"tabs", "Breakaway tabs: pieces of outline left uncut, so that a part cannot tip or fall."},
	{"labels", "Numbers etched on the parts."},
	{"layers", "Which layers are not cut, by name in any case (globs: *, ?, [a-z], {a,b}) or as \"color:2\".\n" +
		"All else that is visible is cut."},
	{"fit", "How loosely parts sit in each other."},
	{"repair", "What fix does where a person must choose; \"ask\" leaves it and tells."},
}

const (
	rulesAbout = "Gravity of each rule: \"error\", \"warning\", \"note\", or \"off\" to switch it off."

	suppressAbout = "Findings that are accepted. Each needs a reason and at least one of rule, layer and part:\n" +
		"[[suppress]]\n" +
		"rule = \"thin-web\"\n" +
		"layer = \"grille*\"\n" +
		"part = \"12\"\n" +
		"reason = \"decorative grille, cut in 6 mm plate before and held\""

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
	{table: "table", key: "slats_along", kind: word, words: []string{"x", "y"},
		about: "The drawing's axis along which the slats run.",
		at:    func(j *Job) any { return &j.Table.SlatsAlong }},
	{table: "table", key: "tip_share", kind: share,
		about: "Share of the slat positions (0 to 1) in which a part may be unheld before it is told.",
		at:    func(j *Job) any { return &j.Table.TipShare }},

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
	{table: "tabs", key: "width", kind: length, least: true, most: 100,
		about: "Width left after cutting; the gap is drawn a kerf wider.",
		at:    func(j *Job) any { return &j.Tabs.Width }},
	{table: "tabs", key: "slugs", kind: onOff,
		about: "Also hold the slugs of holes that are wider than the slat pitch.",
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
		about: "Marked at low power.",
		at:    func(j *Job) any { return &j.Layers.Etch }},
	{table: "layers", key: "ignore", kind: layers,
		about: "Left out.",
		at:    func(j *Job) any { return &j.Layers.Ignore }},

	{table: "fit", key: "clearance", kind: length, most: 100,
		about: "Added to the width of a slot that is widened or refitted.",
		at:    func(j *Job) any { return &j.Fit.Clearance }},

	{table: "repair", key: "loose_marks", kind: word, words: []string{"ask", "etch", "ignore"},
		about: "Open paths wholly inside a part: \"ask\", \"etch\" or \"ignore\".",
		at:    func(j *Job) any { return &j.Repair.LooseMarks }},
	{table: "repair", key: "narrow_slot", kind: word, words: []string{"ask", "widen"},
		about: "Slots narrower than the kerf: \"ask\", or \"widen\" to kerf and clearance.",
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
}

// tableNames returns the tables a job file can have.
func tableNames() []string {
	var names []string
	for _, t := range tables[1:] {
		names = append(names, t.name)
	}
	return append(names, "rules", "suppress")
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
		if s := &settings[i]; s.table == table && s.key == key {
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
