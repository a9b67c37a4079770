package report

import (
	"fmt"
	"strconv"
	"strings"

	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/settle"
)

// grip is a tab or a number that can be put elsewhere; places are in mm of the drawing.
type grip struct {
	Kind string  `json:"kind"`
	Part string  `json:"part"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
}

// reviewPart is a row of the schedule.
type reviewPart struct {
	Number string `json:"number"`
	Name   string `json:"name"`
	Count  int    `json:"count"`
	Size   string `json:"size"`
	Tabs   int    `json:"tabs"`
	Go     string `json:"go"`
	Parts  string `json:"parts"`
	Drawn  int    `json:"drawn"` // how many the drawing as read has
	Asked  int    `json:"asked"` // how many the job asks for, job.AsDrawn for none
	Wish   string `json:"wish"`  // tabs as a person wants them: "" as is best, "none", how many, "places"
	Face   string `json:"face"`
}

// list lists the parts.
func (v *ReviewRound) list(m *rowMaker, s *figures.Schedule) {
	if s == nil {
		return
	}
	f := &filePage{ID: "f0", units: v.units}
	f.schedule(m, s)
	for _, rows := range append([][]partRow{f.Parts}, f.MoreParts...) {
		for i := range rows {
			p := &rows[i]
			v.Parts = append(v.Parts, reviewPart{Number: p.Number, Name: p.Name, Count: p.Count, Size: p.Size + " " + f.SizeUnit, Tabs: p.Tabs, Go: p.Go, Parts: p.Parts})
		}
	}
}

// counts fills in how many of each part are drawn and asked for by the job, and lists those
// that the job leaves out too.
func (v *ReviewRound) counts(read *lint.Result) {
	at := map[string]int{}
	for i := range v.Parts {
		v.Parts[i].Asked = job.AsDrawn
		at[v.Parts[i].Number] = i
	}
	for _, own := range read.Names {
		name, asked := clean(own), job.AsDrawn
		if w := read.Job.Wish(own); w != nil {
			asked = int(w.Count)
		}
		k, ok := at[name]
		if !ok && asked == 0 {
			k, ok = len(v.Parts), true
			v.Parts = append(v.Parts, reviewPart{Number: name, Size: clean(settle.AboutPart(read, own))})
			at[name] = k
		}
		if ok {
			v.Parts[k].Drawn++
			v.Parts[k].Asked = asked
		}
	}
}

// wishes fills in what was decided of parts, and lists those that are left out too.
func (v *ReviewRound) wishes(read *lint.Result) {
	drawn := map[string]int{}
	for _, name := range read.Names {
		drawn[clean(name)]++
	}
	at := map[string]int{}
	for i := range v.Parts {
		at[v.Parts[i].Number] = i
	}
	for i := range read.Job.Answers.Parts {
		a := &read.Job.Answers.Parts[i]
		name := clean(a.Part)
		k, ok := at[name]
		if !ok {
			if drawn[name] == 0 {
				continue
			}
			k = len(v.Parts)
			v.Parts = append(v.Parts, reviewPart{Number: name, Name: clean(a.Name), Size: clean(a.About), Drawn: drawn[name], Asked: job.AsDrawn})
		}
		p := &v.Parts[k]
		p.Face = a.Face
		switch {
		case len(a.Tabs.At) > 0:
			p.Wish = "places"
		case a.Tabs.Set && a.Tabs.Number == 0:
			p.Wish = "none"
		case a.Tabs.Set:
			p.Wish = strconv.Itoa(a.Tabs.Number)
		}
	}
}

// answeredPart tells what was decided of a part.
func answeredPart(p *job.PartAnswer) reviewAnswer {
	var says []string
	if p.Count == 0 {
		says = append(says, "left out")
	} else if p.Count != job.AsDrawn {
		says = append(says, fmt.Sprintf("%d of it", p.Count))
	}
	switch {
	case len(p.Tabs.At) > 0:
		says = append(says, plural(len(p.Tabs.At), "tab")+" where they were put")
	case p.Tabs.Set && p.Tabs.Number == 0:
		says = append(says, "no tabs")
	case p.Tabs.Set:
		says = append(says, plural(p.Tabs.Number, "tab"))
	}
	if len(p.Label) > 0 {
		says = append(says, "number where it was put")
	}
	if p.Name != "" {
		says = append(says, "called "+clean(p.Name))
	}
	if p.Face != "" {
		says = append(says, "numbered on its "+p.Face)
	}
	says = append(says, pinsText(p.Pins)...)
	return reviewAnswer{ID: settle.PartID + p.Part, Choice: "part " + clean(p.Part), Text: strings.Join(says, ", ")}
}

// mostPinsTold is how many places of a part are told one by one.
const mostPinsTold = 3

// pinsText says where those of a part lie in a layout that a person has put there.
func pinsText(pins []*job.Pin) (says []string) {
	for _, p := range pins {
		if p != nil {
			says = append(says, pinText(p))
		}
	}
	if n := len(says); n > mostPinsTold {
		return []string{fmt.Sprintf("%d of it laid out where they were put", n)}
	}
	return says
}

// pinText says where a part lies in a layout.
func pinText(p *job.Pin) string {
	s := fmt.Sprintf("laid out at %s, %s mm on sheet %d", figure(p.At.X, 3), figure(p.At.Y, 3), p.Sheet)
	if p.Turn != 0 {
		s += ", turned by " + figure(p.Turn, 3) + "°"
	}
	return s
}
