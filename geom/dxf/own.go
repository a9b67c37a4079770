package dxf

import "strings"

// OwnMark says that this program wrote a drawing. It is the name of the line type
// of the five layers, which any program that keeps layers with their line types
// keeps, and of the application whose extended data they carry, which stays where
// somebody gives them other line types. Names of layers say nothing: every
// drawing may have a layer called NOTE.
const OwnMark = "SLUICE"

// markNote explains the mark to who meets it in another program.
const markNote = "solid; a layer of a corrected drawing"

// PathsMark says the same of a drawing of paths for the machine.
const PathsMark = "SLUICE-PATHS"

// pathsNote explains it.
const pathsNote = "solid; a layer of a drawing of paths"

// ownLayer reports whether an entry of the layer table carries the mark of a
// corrected drawing: then the drawing is ours.
func ownLayer(r *record) bool { return marked(r, writtenLayers, OwnMark) }

// pathsLayer reports whether it carries that of a drawing of paths.
func pathsLayer(r *record) bool { return marked(r, pathLayers, PathsMark) }

func marked(r *record, layers []writtenLayer, mark string) bool {
	name := r.text(2)
	for i := range layers {
		if !strings.EqualFold(name, layers[i].name) {
			continue
		}
		for _, t := range r.texts {
			if (t.code == 6 || t.code == 1001) && strings.EqualFold(t.s, mark) {
				return true
			}
		}
	}
	return false
}
