package dxf

import (
	"strings"

	ydrawing "github.com/yofu/dxf/drawing"
	"github.com/yofu/dxf/format"
	"github.com/yofu/dxf/table"
)

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

// addLayers puts the five layers into a new drawing, with the mark.
func (d *drawer) addLayers(y *ydrawing.Drawing) {
	tables := y.Sections[ydrawing.TABLES].(table.Tables)
	mark := table.NewLineType(OwnMark, markNote)
	tables[table.LTYPE].Add(mark)
	tables[table.APPID].Add(table.NewAppID(OwnMark))
	for _, l := range writtenLayers {
		layer := table.NewLayer(l.name, l.color, mark)
		layer.SetPlotStyle(y.PlotStyle)
		tables[table.LAYER].Add(markedLayer{layer})
		d.layers[l.name] = layer
	}
}

// markedLayer is a layer with extended data.
type markedLayer struct{ *table.Layer }

// Format writes the layer, then its extended data.
func (l markedLayer) Format(f format.Formatter) {
	l.Layer.Format(f)
	f.WriteString(1001, OwnMark)
	f.WriteString(1000, markNote)
}
