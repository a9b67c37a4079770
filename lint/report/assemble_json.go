package report

import (
	"fmt"
	"io"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint/assembly"
)

// pieceJSON names a part as drawn.
type pieceJSON struct {
	Part string `json:"part"`
	Copy int    `json:"copy"`
	At   [2]num `json:"at"`
}

type poseJSON struct {
	pieceJSON
	Pose [16]num `json:"pose"`
}

type jointJSON struct {
	Kind  string    `json:"kind"`
	A     pieceJSON `json:"a"`
	B     pieceJSON `json:"b"`
	Off   num       `json:"off"`
	Angle num       `json:"angle"`
	Slant num       `json:"slant,omitempty"` // between the parts, where they do not meet square
}

type clashJSON struct {
	A      pieceJSON `json:"a"`
	B      pieceJSON `json:"b"`
	Volume num       `json:"volume"`
}

type stepJSON struct {
	Step  int         `json:"step"`
	Parts []pieceJSON `json:"parts"`
	Along [3]num      `json:"along"`
	Why   string      `json:"why"`
	With  []stepJSON  `json:"with,omitempty"`
}

type trappedJSON struct {
	Parts []pieceJSON `json:"parts"`
	Why   string      `json:"why"`
}

type waysJSON struct {
	Part string `json:"part"`
	Copy int    `json:"copy"`
	Why  string `json:"why"`
}

type groupJSON struct {
	Parts   []poseJSON    `json:"parts"`
	Joints  []jointJSON   `json:"joints"`
	Clashes []clashJSON   `json:"clashes"`
	Steps   []stepJSON    `json:"steps"`
	Trapped []trappedJSON `json:"trapped"`
	Choices []waysJSON    `json:"choices"`
	Bolts   []boltJSON    `json:"bolts"`
	Share   num           `json:"share"`
	Box     [3]num        `json:"box"`
	Mass    *num          `json:"mass"`
	Centre  [3]num        `json:"centre"`
}

// boltJSON is a bolt through a into b; hole is 0 where a has none for it.
type boltJSON struct {
	A     pieceJSON `json:"a"`
	B     pieceJSON `json:"b"`
	Width num       `json:"width"`
	Hole  num       `json:"hole"`
}

type stackJSON struct {
	Parts []poseJSON `json:"parts"`
	Holes int        `json:"holes"`
	Why   string     `json:"why"`
}

type unplacedJSON struct {
	pieceJSON
	Why string `json:"why"`
}

// assembleJSON writes a kit in space as one JSON object.
func assembleJSON(w io.Writer, a *Assembly) error {
	j := newJSONWriter(w)
	j.raw("{")
	j.field(true, "tool", "sluice")
	j.field(false, "input", a.Path)
	thickness := []num{}
	for _, t := range a.Kit.Plates {
		thickness = append(thickness, num(t))
	}
	j.field(false, "thickness", thickness)
	j.name(false, "groups")
	j.list(len(a.Kit.Groups), " ", func(i int) any { return a.groupJSON(&a.Kit.Groups[i]) })
	j.name(false, "unplaced")
	j.list(len(a.Kit.Unplaced), " ", func(i int) any {
		u := &a.Kit.Unplaced[i]
		return unplacedJSON{a.piece(u.Part), u.Why}
	})
	j.name(false, "missing")
	j.list(len(a.Kit.Missing), " ", func(i int) any { return a.missingJSON(&a.Kit.Missing[i]) })
	j.name(false, "stacks")
	j.list(len(a.Kit.Stacks), " ", func(i int) any {
		s := &a.Kit.Stacks[i]
		out := stackJSON{Holes: s.Holes, Why: stackWhy(s)}
		for n := range s.Parts {
			pose := poseJSON{pieceJSON: a.piece(s.Parts[n].Part)}
			for k, v := range s.Parts[n].Pose.Matrix() {
				pose.Pose[k] = num(v)
			}
			out.Parts = append(out.Parts, pose)
		}
		return out
	})
	return j.close()
}

// stackWhy says why parts are held to lie on each other.
func stackWhy(s *assembly.Stack) string {
	return fmt.Sprintf("a guess: they have the same %s", plural(s.Holes, "round hole"))
}

type missingJSON struct {
	Group     int         `json:"group"`
	Meets     []pieceJSON `json:"meets"`
	Pose      [16]num     `json:"pose"`
	Thickness num         `json:"thickness"`
	Outline   [][2]num    `json:"outline"`
	Holes     [][][2]num  `json:"holes,omitempty"`
	Why       string      `json:"why"`
}

func (a *Assembly) missingJSON(m *assembly.Missing) missingJSON {
	g := &a.Kit.Groups[m.Group]
	out := missingJSON{Group: m.Group, Thickness: num(m.Thickness), Meets: []pieceJSON{}, Outline: pointsJSON(m.Outline), Why: a.missingText(m)}
	for _, h := range m.Holes {
		out.Holes = append(out.Holes, pointsJSON(h))
	}
	for _, i := range m.Meets {
		out.Meets = append(out.Meets, a.piece(g.Parts[i].Part))
	}
	for k, v := range m.Pose.Matrix() {
		out.Pose[k] = num(v)
	}
	return out
}

// piece names a part by its number, which of those alike it is, and its place.
func (a *Assembly) piece(k int) pieceJSON {
	c := a.Sheet.Parts[k].Box.Center()
	return pieceJSON{clean(a.Name(k)), a.copies()[k], [2]num{num(finite(c.X)), num(finite(c.Y))}}
}

func (a *Assembly) groupJSON(g *assembly.Group) groupJSON {
	out := groupJSON{Parts: []poseJSON{}, Joints: []jointJSON{}, Clashes: []clashJSON{}, Trapped: []trappedJSON{}, Choices: []waysJSON{}, Bolts: []boltJSON{}, Share: num(g.Share), Box: vecJSON(g.Hi.Sub(g.Lo)), Centre: vecJSON(g.Centre)}
	if kg := a.mass(g); kg > 0 {
		m := num(kg)
		out.Mass = &m
	}
	of := func(i int) pieceJSON { return a.piece(g.Parts[i].Part) }
	at := func(i int, p geom.Point) pieceJSON {
		x := of(i)
		x.At = [2]num{num(p.X), num(p.Y)}
		return x
	}
	for i := range g.Parts {
		p := &g.Parts[i]
		pose := poseJSON{pieceJSON: of(i)}
		for k, v := range p.Pose.Matrix() {
			pose.Pose[k] = num(v)
		}
		out.Parts = append(out.Parts, pose)
		if p.Others > 0 {
			out.Choices = append(out.Choices, waysJSON{pose.Part, pose.Copy, othersText(p.Others)})
		}
	}
	for i := range g.Joints {
		x := &g.Joints[i]
		out.Joints = append(out.Joints, jointJSON{x.Kind, at(x.A, x.AtA), at(x.B, x.AtB), num(x.Off), num(x.Angle), num(x.Slant)})
	}
	for i := range g.Clashes {
		x := &g.Clashes[i]
		out.Clashes = append(out.Clashes, clashJSON{of(x.A), of(x.B), num(x.Volume)})
	}
	for i := range g.Bolts {
		b := &g.Bolts[i]
		out.Bolts = append(out.Bolts, boltJSON{at(b.Through, b.AtHole), at(b.Into, b.AtInto), num(b.Width), num(b.Hole)})
	}
	out.Steps = a.stepsJSON(g, g.Steps)
	for i := range g.Trapped {
		t := trappedJSON{Why: a.trappedText(g, &g.Trapped[i])}
		for _, k := range g.Trapped[i].Parts {
			t.Parts = append(t.Parts, of(k))
		}
		out.Trapped = append(out.Trapped, t)
	}
	return out
}

func (a *Assembly) stepsJSON(g *assembly.Group, steps []assembly.Step) []stepJSON {
	out := []stepJSON{}
	var stands []int
	for i := range steps {
		s := &steps[i]
		t := stepJSON{Step: i + 1, Along: vecJSON(s.Along), Why: a.stepText(g, s, stands)}
		stands = append(stands, s.Parts...)
		for _, k := range s.Parts {
			t.Parts = append(t.Parts, a.piece(g.Parts[k].Part))
		}
		if len(s.With) > 0 {
			t.With = a.stepsJSON(g, s.With)
		}
		out = append(out, t)
	}
	return out
}

func vecJSON(v plate.Vec) (out [3]num) {
	for i := range v {
		out[i] = num(v[i])
	}
	return out
}
