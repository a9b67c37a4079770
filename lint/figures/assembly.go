package figures

import (
	"slices"
	"strconv"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// Assembly is how the parts of a drawing go together.
type Assembly struct {
	*lint.Result
	Design  float64 // width of most slots, mm; 0: not known
	Parts   []Piece // one of each number, ascending
	Stages  []Stage // in the suggested order
	Missing []Gone
}

// Piece is one part of a kit, with what it has to do with the others.
type Piece struct {
	Name            string
	Part            int32 // index in Sheet.Parts
	Count           int   // parts of the same number
	GoesInto, Takes []string
	Free            int    // joints without a mate, on all parts of the number
	Mates           []Mate // at its joints
}

// Mate is the name of a part that meets another, at a place on that.
type Mate struct {
	At   geom.Point
	Name string
}

// Stage is one step of putting a kit together.
type Stage struct {
	Piece
	Meets   []string // parts already in place that it joins
	Start   bool     // the first part of a group that hangs together
	Why     string
	Force   bool // it has to be sprung in
	Captive bool // it is held by two others
}

// Gone is a piece that seems to be missing.
type Gone struct {
	Like  string   // the name of a part of which one more would do; "" for none
	Meets []string // the parts that it would meet
}

// Assembly works out how the parts go together.
func (p *Parts) Assembly() *Assembly {
	a := &Assembly{Result: p.Result}
	k := kitOf(p.Result)
	if k == nil {
		return a
	}
	a.Design = k.Design()
	name := func(part int32) string {
		if int(part) < len(p.Names) && p.Names[part] != "" {
			return p.Names[part]
		}
		return strconv.Itoa(k.Number(part))
	}
	first := map[int]int32{} // the first part of each number
	for i := range k.Sheet.Parts {
		if n := k.Number(int32(i)); !has(first, n) {
			first[n] = int32(i)
		}
	}
	names := func(numbers []int) (out []string) {
		for _, n := range numbers {
			out = append(out, name(first[n]))
		}
		return out
	}
	mates := matesOf(k, name)
	for _, l := range k.Schedule() {
		if part, ok := first[l.Number]; ok {
			a.Parts = append(a.Parts, Piece{name(part), part, l.Count, names(l.GoesInto), names(l.Takes), l.Free, mates[part]})
		}
	}
	captive := map[int32]bool{}
	for _, c := range k.Captives() {
		captive[c.Part] = true
	}
	stages := stagesInSpace(k)
	if stages == nil {
		stages = k.Order(p.Names)
	}
	for _, s := range stages {
		stage := Stage{
			Piece: Piece{Name: name(s.Part), Part: s.Part, Count: 1, Mates: mates[s.Part]},
			Start: s.Start, Why: s.Why, Force: s.Force, Captive: captive[s.Part],
		}
		for _, q := range s.Meets {
			if n := name(q); !slices.Contains(stage.Meets, n) {
				stage.Meets = append(stage.Meets, n)
			}
		}
		a.Stages = append(a.Stages, stage)
	}
	for _, m := range k.Missing {
		g := Gone{Meets: names(m.Meets)}
		if m.Like > 0 {
			g.Like = name(first[m.Like])
		}
		a.Missing = append(a.Missing, g)
	}
	return a
}

// stagesInSpace returns the order in which the kit goes together in space, nil where it was
// not rebuilt as a whole.
func stagesInSpace(k *kit.Kit) (all []kit.Stage) {
	model := assembly.Soon(k)
	if model == nil || !model.Whole() || len(model.Missing) > 0 {
		return nil
	}
	for i := range model.Groups {
		g := &model.Groups[i]
		stands := make([]bool, len(g.Parts))
		first := len(all)
		var put func(steps []assembly.Step)
		put = func(steps []assembly.Step) {
			for _, s := range steps {
				if len(s.With) > 0 {
					put(s.With)
					continue
				}
				for _, i := range s.Parts {
					all = append(all, stageOf(g, i, stands, len(all) == first))
					stands[i] = true
				}
			}
		}
		put(g.Steps)
	}
	return all
}

// stageOf tells what a part joins of what stands.
func stageOf(g *assembly.Group, part int, stands []bool, start bool) kit.Stage {
	s := kit.Stage{Part: int32(g.Parts[part].Part), Start: start}
	joints, others := 0, map[int]bool{}
	for i := range g.Joints {
		j := &g.Joints[i]
		if j.A != part && j.B != part {
			continue
		}
		o := j.A + j.B - part
		others[o] = true
		if !stands[o] {
			continue
		}
		joints++
		if q := int32(g.Parts[o].Part); !slices.Contains(s.Meets, q) {
			s.Meets = append(s.Meets, q)
		}
	}
	slices.Sort(s.Meets)
	switch {
	case start:
		s.Why = "meets " + several(len(others), "other part")
	case joints == 0:
		s.Why = "what comes next joins it"
	default:
		s.Why = several(joints, "joint") + " with what stands"
	}
	return s
}

func several(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

func has[K comparable, V any](m map[K]V, k K) bool {
	_, ok := m[k]
	return ok
}

// matesOf returns what meets each part, and where.
func matesOf(k *kit.Kit, name func(int32) string) map[int32][]Mate {
	out := map[int32][]Mate{}
	for _, p := range k.Pairs {
		if p.JointA >= 0 {
			out[p.PartA] = append(out[p.PartA], Mate{k.Joints[p.JointA].At, name(p.PartB)})
			out[p.PartB] = append(out[p.PartB], Mate{k.Joints[p.JointB].At, name(p.PartA)})
			continue
		}
		for _, e := range [2][2]int{{p.EdgeA, p.EdgeB}, {p.EdgeB, p.EdgeA}} {
			a, b := &k.Edges[e[0]], &k.Edges[e[1]]
			out[a.Part] = append(out[a.Part], Mate{a.Middle(0), name(b.Part)})
		}
	}
	return out
}
