package lint

import (
	"regexp"
	"strings"
	"sync"
)

// plainWords are what people call what a drawing's file calls otherwise: one of
// it, and several.
var plainWords = map[string][2]string{
	"3DFACE":       {"face in space", "faces in space"},
	"3DSOLID":      {"solid body", "solid bodies"},
	"ARC":          {"arc", "arcs"},
	"ATTDEF":       {"block text", "block texts"},
	"ATTRIB":       {"block text", "block texts"},
	"BLOCK":        {"block", "blocks"},
	"BODY":         {"solid body", "solid bodies"},
	"CIRCLE":       {"circle", "circles"},
	"DIMENSION":    {"dimension", "dimensions"},
	"ELLIPSE":      {"ellipse", "ellipses"},
	"HATCH":        {"hatch", "hatches"},
	"IMAGE":        {"picture", "pictures"},
	"INSERT":       {"block", "blocks"},
	"LEADER":       {"leader line", "leader lines"},
	"LINE":         {"line", "lines"},
	"LWPOLYLINE":   {"polyline", "polylines"},
	"MESH":         {"mesh in space", "meshes in space"},
	"MLINE":        {"multiple line", "multiple lines"},
	"MTEXT":        {"text", "texts"},
	"MULTILEADER":  {"leader line", "leader lines"},
	"OLE2FRAME":    {"embedded object", "embedded objects"},
	"POINT":        {"point", "points"},
	"POLYLINE":     {"old polyline", "old polylines"},
	"RAY":          {"endless line", "endless lines"},
	"REGION":       {"region", "regions"},
	"SHAPE":        {"symbol", "symbols"},
	"SOLID":        {"filled area", "filled areas"},
	"SPLINE":       {"spline", "splines"},
	"TABLE":        {"table", "tables"},
	"TEXT":         {"text", "texts"},
	"TOLERANCE":    {"tolerance frame", "tolerance frames"},
	"TRACE":        {"filled area", "filled areas"},
	"VIEWPORT":     {"viewport", "viewports"},
	"WIPEOUT":      {"masked area", "masked areas"},
	"XLINE":        {"endless line", "endless lines"},
	"$INSUNITS":    {"the unit in the file", "the unit in the file"},
	"$MEASUREMENT": {"its measuring system", "its measuring system"},
}

var (
	// wordIn finds words of a file in a message, with a number in front of them.
	wordIn = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(?:\b(\d+) )?(\$?\b[A-Z0-9]*[A-Z]{3}[A-Z0-9]*)\b`) })
	// lineIn finds where in a file's text something stands.
	lineIn = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(` \((?:from )?line \d+\)|^line \d+: `) })
)

// Plain returns a message in the words of people rather than those of the
// drawing's file: "2 blocks left out" for "2 INSERT left out (from line 81)". What
// stands in quotes is a name and stays.
func Plain(message string) string {
	quoted := strings.Split(lineIn().ReplaceAllString(message, ""), `"`)
	for i := 0; i < len(quoted); i += 2 {
		quoted[i] = wordIn().ReplaceAllStringFunc(quoted[i], func(s string) string {
			m := wordIn().FindStringSubmatch(s)
			words, known := plainWords[m[2]]
			switch {
			case !known:
				return s
			case m[1] == "":
				return words[0]
			case m[1] == "1":
				return "1 " + words[0]
			}
			return m[1] + " " + words[1]
		})
	}
	return strings.Join(quoted, `"`)
}

// PlainType returns what people call an entity type.
func PlainType(entity string) string {
	if w, ok := plainWords[entity]; ok {
		return w[0]
	}
	return strings.ToLower(entity)
}
