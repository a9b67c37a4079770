package report

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"sluice/geom"
)

// PartsText writes the schedule as a table for a terminal, with a line of sums.
func PartsText(w io.Writer, rows []PartRow) error {
	t := textWriter{Writer: bufio.NewWriter(w)}
	numberWidth := len("number")
	for i := range rows {
		numberWidth = min(max(numberWidth, len([]rune(clean(rows[i].Number)))), 24)
	}
	t.line("%-*s %5s %10s %10s %12s %11s %7s %5s  %s", numberWidth,
		"number", "count", "width mm", "height mm", "area mm2", "cut mm", "pierces", "tabs", "layer, name")
	var s partSums
	for i := range rows {
		p := &rows[i]
		s.add(p)
		line := fmt.Sprintf("%-*s %5d %10s %10s %12s %11s %7d %5d  %s", numberWidth, dash(clean(p.Number)), p.Count,
			fixed(p.Width, 2), fixed(p.Height, 2), fixed(p.Area, 1), fixed(p.CutLength, 1), p.Pierces, p.Tabs,
			layerAndName(p))
		t.line("%s", strings.TrimRight(line, " "))
	}
	if anyJoints(rows) {
		t.line("\n%-*s %-28s %-24s %s", numberWidth, "number", "joints of one", "goes into", "takes")
		for i := range rows {
			p := &rows[i]
			if p.Joints == (Joints{}) {
				continue
			}
			free := ""
			if p.Joints.Free > 0 {
				free = fmt.Sprintf("  (%d without a mate)", p.Joints.Free)
			}
			t.line("%-*s %-28s %-24s %s%s", numberWidth, dash(clean(p.Number)), p.jointWords(),
				dash(strings.Join(p.GoesInto, " ")), dash(strings.Join(p.Takes, " ")), free)
		}
	}
	t.line("\n%s of %s: area %s mm2, cut %s m, %s, %s", plural(s.parts, "part"), plural(len(rows), "kind"),
		fixed(s.area, 1), fixed(s.cut/1000, 3), plural(s.pierces, "pierce"), plural(s.tabs, "tab"))
	return t.Flush()
}

func layerAndName(p *PartRow) string {
	s := clean(p.Layer)
	if p.Name != "" {
		if s != "" {
			s += ", "
		}
		s += clean(p.Name)
	}
	return s
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// partSums are the sums over all parts of a schedule, copies counted.
type partSums struct {
	parts, pierces, tabs int
	area, cut            float64
}

func (s *partSums) add(p *PartRow) {
	s.parts += p.Count
	s.area += float64(p.Count) * finite(p.Area)
	if p.sums.parts > 0 {
		s.pierces += p.sums.pierces
		s.tabs += p.sums.tabs
		s.cut += finite(p.sums.cut)
		return
	}
	s.pierces += p.Count * p.Pierces
	s.tabs += p.Count * p.Tabs
	s.cut += float64(p.Count) * finite(p.CutLength)
}

// PartsCSV writes the schedule as comma-separated values with a heading line. A
// layer or name that a spreadsheet would take for a formula gets an apostrophe
// before it.
func PartsCSV(w io.Writer, rows []PartRow) error {
	c := csv.NewWriter(w)
	c.Write([]string{"number", "count", "width_mm", "height_mm", "area_mm2", "cut_mm", "pierces", "tabs", "layer", "name", "at", "goes_into", "takes"})
	for i := range rows {
		p := &rows[i]
		var at []string
		for _, q := range p.At {
			q = place(q)
			at = append(at, figure(q.X, 3)+" "+figure(q.Y, 3))
		}
		c.Write([]string{cell(p.Number), fmt.Sprint(p.Count), csvNumber(p.Width), csvNumber(p.Height), csvNumber(p.Area),
			csvNumber(p.CutLength), fmt.Sprint(p.Pierces), fmt.Sprint(p.Tabs), cell(p.Layer), cell(p.Name), strings.Join(at, "; "),
			strings.Join(p.GoesInto, " "), strings.Join(p.Takes, " ")})
	}
	c.Flush()
	return c.Error()
}

func csvNumber(v float64) string { return figure(finite(v), 6) }

func cell(s string) string {
	s = clean(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

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

// PartsJSON writes the schedule as one JSON object.
func PartsJSON(w io.Writer, rows []PartRow) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.name(false, "parts")
	j.list(len(rows), " ", func(i int) any {
		p := &rows[i]
		return partJSON{p.Number, p.Count, num(finite(p.Width)), num(finite(p.Height)), num(finite(p.Area)),
			num(finite(p.CutLength)), p.Pierces, p.Tabs, p.Layer, p.Name, pointsJSON(p.At),
			notNil(p.GoesInto), notNil(p.Takes), p.Joints.Slots, p.Joints.Notches, p.Joints.Tabs, p.Joints.Fingers, p.Joints.Free}
	})
	return j.close()
}

func pointsJSON(ps []geom.Point) [][2]num {
	out := make([][2]num, len(ps))
	for i, p := range ps {
		out[i] = pointJSON(p)
	}
	return out
}

func notNil(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}
