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

// ownLayer reports whether an entry of the layer table carries the mark: then the
// drawing is ours.
func ownLayer(r *record) bool {
	name := r.text(2)
	for i := range writtenLayers {
		if !strings.EqualFold(name, writtenLayers[i].name) {
			continue
		}
		for _, t := range r.texts {
			if (t.code == 6 || t.code == 1001) && strings.EqualFold(t.s, OwnMark) {
				return true
			}
		}
	}
	return false
}
