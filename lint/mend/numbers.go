package mend

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sluice/fix"
	"sluice/fix/label"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/drawing"
	nearby "sluice/geom/near"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

// numbers returns the fixes that number the parts that lack a number, where a
// place is found, and the numbers by part. drawn is the index of the sheet.
func (m *mender) numbers(res *lint.Result, noted map[int]int32, drawn func() *nearby.Index) (fixes []fix.Fix, labels map[int]label.Label) {
	if m.unnumbered > 0 || m.j.Labels.Parts == "none" || !m.o.wants("label") || m.way.bare || m.j.Rules["unnumbered-part"] == "off" {
		return nil, nil
	}
	var pl *label.Placer
	var edits []fix.Edit
	var sheet geom.Box
	labels = map[int]label.Label{}
	counts := map[int]int{}
	for k := range res.Sheet.Parts {
		counts[res.Sheet.Parts[k].Number]++
	}
	asked := partsAsked(res)
	places := m.wanted(res, asked, labelPlace, func(p *job.PartAnswer) []geom.Point { return p.Label })
	for k := range res.Sheet.Parts {
		if res.Labeled[k] || res.Sheet.Parts[k].Unsure() {
			continue
		}
		if pl == nil {
			pl = label.PlacerOn(res.Sheet, drawn(), m.j.Jet.Kerf)
			pl.Limit(numberWork(res))
			m.takeMarks(pl, res)
			sheet = m.takeClamps(pl, res)
		}
		want := label.Request{
			Text: m.labelText(res, k, counts[res.Sheet.Parts[k].Number]), Height: m.j.Labels.Height, MinHeight: m.j.Labels.MinHeight,
			Clear: m.j.Jet.Kerf, Mirror: m.j.Labels.Face == "back", Within: sheet,
		}
		var l label.Label
		ok := false
		if asked != nil && asked[k] != nil {
			if f := asked[k].Face; f != "" {
				want.Mirror = f == "back"
			}
			l, ok = m.labelAt(pl, k, want, asked[k], places[k])
		}
		if !ok {
			l, ok = pl.Place(k, want)
		}
		if pl.Spent() {
			m.unnumbered++
		}
		if !ok {
			continue // unnumbered-part goes on telling it
		}
		pl.TakeLabel(l)
		labels[k] = l
		e := numbered(res, k, &l)
		if i, ok := noted[k]; ok { // the number says it from now on
			e.Ops = append(e.Ops, fix.Op{Kind: fix.DropText, Index: i})
		}
		edits = append(edits, e)
	}
	return each(fix.Auto, edits), labels
}

// nameNotesOf returns, by part, the text by which a part without a number keeps its
// name.
func nameNotesOf(res *lint.Result) map[int]int32 {
	notes := map[int]int32{}
	for i, k := range lint.ReadLabels(res.Drawing, res.Sheet, res.Drawing.Own) {
		if k >= 0 && !res.Labeled[k] {
			notes[k] = int32(i)
		}
	}
	return notes
}

// nameNotes returns the fixes that write down what parts are called that get no
// number, so that they are called so for ever: where numbers were asked for, and
// where reading the drawing anew would give another name.
func (m *mender) nameNotes(res *lint.Result, noted map[int]int32, labels map[int]label.Label) []fix.Fix {
	if !m.o.wants("name") || m.way.bare {
		return nil
	}
	asked := m.j.Labels.Parts != "none"
	var anew []string
	if !asked {
		anew = lint.NamesRead(res.Drawing, res.Sheet)
	}
	var edits []fix.Edit
	for k, name := range res.Names {
		_, named := noted[k]
		_, numbered := labels[k]
		if named || numbered || res.Labeled[k] || res.Sheet.Parts[k].Unsure() || !asked && anew[k] == name {
			continue
		}
		at, ok := within(res.Sheet, k)
		if !ok {
			continue
		}
		edits = append(edits, fix.Edit{
			Kind: "name", Rule: "unnumbered-part", At: at, Part: name, Entities: partEntities(res, k),
			Note: "called part " + name + " on NOTE, since no number is etched",
			Ops: []fix.Op{{Kind: fix.AddText, Text: &drawing.Text{
				Entity: -1, Layer: -1, At: at, Insert: at, Height: nameHeight, Value: lint.NameNote(name), Centered: true,
			}}},
		})
	}
	return each(fix.Auto, edits)
}

// nameHeight is the height of such a note, mm: small, since it is for programs.
const nameHeight = 1

// within returns a place in the material of part k, beside the middle of its longest
// straight or bend; false where it is too thin for that.
func within(s *outline.Sheet, k int) (geom.Point, bool) {
	pieces := s.Outlines[s.Parts[k].Outer].Pieces
	longest := slices.MaxFunc(pieces, func(a, b geom.Piece) int { return cmp.Compare(a.Length(), b.Length()) })
	for _, off := range []float64{1, 0.3, 0.1, 0.03} { // mm
		at := longest.Mid().Add(longest.TangentAt(0.5).Left().Mul(off))
		if s.PartAt(at) == k {
			return at, true
		}
	}
	return geom.Point{}, false
}

// numbered returns the edit that etches the number of part k, with a note that
// tells a reader which part it numbers.
func numbered(res *lint.Result, k int, l *label.Label) fix.Edit {
	var etch []drawing.Stroke
	layer := repair.FindLayer(res.Drawing, lint.LayerEtch)
	for _, path := range l.Paths {
		for _, p := range path {
			etch = append(etch, drawing.Stroke{Piece: p, Entity: -1, Layer: layer, Made: drawing.Edited, As: drawing.AsEtch})
		}
	}
	return fix.Edit{
		Kind: "label", Rule: "unnumbered-part", At: l.At, Part: res.Names[k], Entities: partEntities(res, k),
		Note: fmt.Sprintf("number %s, %.3g mm high, %s the part", l.Text, l.Height, map[string]string{label.Inside: "on", label.Beside: "beside"}[l.Where]),
		Ops: []fix.Op{{Kind: fix.Add, With: etch}, {Kind: fix.AddText, Text: &drawing.Text{
			Entity: -1, Layer: -1, At: l.At, Insert: l.At, Height: l.Height, Angle: l.Angle * math.Pi / 180,
			Value: lint.LabelNote(res.Names[k], l.Text), Centered: true,
		}}},
	}
}

// numberWork bounds the work of finding places for numbers by the size of the
// sheet, so that it stays a few times that of judging it (measured).
func numberWork(res *lint.Result) int {
	n := 0
	for i := range res.Sheet.Outlines {
		n += len(res.Sheet.Outlines[i].Pieces)
	}
	return 4_000_000 + 10_000*n
}

// takeMarks keeps numbers some way off marks that are there already, so that they
// are not read together: a fifth of their height besides the kerf.
func (m *mender) takeMarks(pl *label.Placer, res *lint.Result) {
	off := m.j.Labels.Height / 5
	paths := make([]geom.Path, 0, len(res.Sheet.Etch)+len(res.Sheet.Noted)+len(res.Sheet.Aside))
	for i := range res.Sheet.Etch {
		paths = append(paths, res.Sheet.Etch[i].Pieces)
	}
	for i := range res.Sheet.Noted { // undecided, it may be etched or cut yet
		paths = append(paths, res.Sheet.Noted[i].Pieces)
	}
	for i := range res.Sheet.Aside { // undecided, it may be etched or cut yet
		paths = append(paths, res.Sheet.Aside[i].Pieces)
	}
	for _, path := range paths {
		for _, p := range path {
			a, b := p.A, p.B
			n := b.Sub(a).Unit().Left().Mul(off)
			if p.R > 0 || n == (geom.Point{}) {
				box := p.Box().Inflate(off)
				a, b, n = geom.Pt(box.Min.X, box.Center().Y), geom.Pt(box.Max.X, box.Center().Y), geom.Pt(0, box.H()/2)
			}
			pl.Take([4]geom.Point{a.Sub(n), b.Sub(n), b.Add(n), a.Add(n)})
		}
	}
}

// takeClamps keeps numbers out of clamp zones, and returns the usable sheet, in
// which they are to lie; a box without size where either is open, since the parts
// are moved yet or the job states no sheet.
func (m *mender) takeClamps(pl *label.Placer, res *lint.Result) geom.Box {
	room, zones, placed := m.j.Placed(res.Sheet.PartsBox())
	if !placed || m.o.Spread {
		return geom.Box{}
	}
	for _, z := range zones {
		pl.Take(nearby.RectAt(z.Center(), z.W(), z.H(), 0).Corners())
	}
	if room.Empty() {
		return geom.Box{}
	}
	return room
}

// labelText fills in the job's template.
func (m *mender) labelText(res *lint.Result, k, count int) string {
	name := ""
	if src := res.Sheet.Outlines[res.Sheet.Parts[k].Outer].Src; len(src) > 0 && src[0] >= 0 {
		name = res.Drawing.LayerName(res.Drawing.Strokes[src[0]].Layer)
	}
	return strings.NewReplacer("{number}", res.Names[k], "{count}", strconv.Itoa(count), "{name}", name).Replace(m.j.Labels.Text)
}

// partEntities names the entities of a part's outside.
func partEntities(res *lint.Result, k int) []string {
	p := lint.Pass{Drawing: res.Drawing}
	return p.EntityIDs(res.Sheet.Outlines[res.Sheet.Parts[k].Outer].Src...)
}
