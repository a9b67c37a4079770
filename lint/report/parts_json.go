package report

import (
	"io"

	"sluice/geom"
	"sluice/lint/figures"
)

type partJSON struct {
	Number    string   `json:"number"`
	Count     int      `json:"count"`
	Width     num      `json:"width"`
	Height    num      `json:"height"`
	Area      num      `json:"area"`
	CutLength num      `json:"cut_length"`
	Pierces   int      `json:"pierces"`
	Tabs      int      `json:"tabs"`
	Layer     string   `json:"layer"`
	Name      string   `json:"name"`
	At        [][2]num `json:"at"`
	GoesInto  []string `json:"goes_into"`
	Takes     []string `json:"takes"`
	Slots     int      `json:"slots"`
	Notches   int      `json:"notches"`
	TabJoints int      `json:"tab_joints"`
	Fingers   int      `json:"finger_edges"`
	Unmatched int      `json:"unmatched"`
}

// partsJSON writes the schedule as one JSON object.
func partsJSON(w io.Writer, s *Parts) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.name(false, "parts")
	j.list(len(s.Rows), " ", func(i int) any {
		p := &s.Rows[i]
		return partJSON{p.Number, p.Count, num(finite(p.Width)), num(finite(p.Height)), num(finite(p.Area)),
			num(finite(p.CutLength)), p.Pierces, p.Tabs, p.Layer, p.Name, pointsJSON(p.At),
			orEmpty(p.GoesInto), orEmpty(p.Takes), p.Joints.Slots, p.Joints.Notches, p.Joints.Tabs, p.Joints.Fingers, p.Joints.Free}
	})
	if f := s.Slots; f != nil {
		j.field(false, "slot_fit", slotFitJSONOf(f))
	}
	return j.close()
}

type slotFitJSON struct {
	Thickness num             `json:"thickness"`
	Thickest  num             `json:"thickest"`
	Clearance num             `json:"clearance"`
	Taper     num             `json:"taper"`
	Slots     []slotWidthJSON `json:"slots"`
}

type slotWidthJSON struct {
	Width  num `json:"width"`
	Bottom num `json:"bottom"`
	Play   num `json:"play"`
	Count  int `json:"count"`
}

func slotFitJSONOf(s *figures.Slots) slotFitJSON {
	g := &s.Target
	f := slotFitJSON{num(g.Thickness), num(g.Thickness + g.Plus), num(g.Clearance), num(g.Taper), nil}
	for _, w := range s.Widths {
		f.Slots = append(f.Slots, slotWidthJSON{num(w.Width), num(w.Bottom), num(w.Play), w.Count})
	}
	return f
}

func pointsJSON(ps []geom.Point) [][2]num {
	out := make([][2]num, len(ps))
	for i, p := range ps {
		out[i] = pointJSON(p)
	}
	return out
}
