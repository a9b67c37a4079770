package lint

import (
	"slices"

	"sluice/fix"
	"sluice/geom/outline"
	"sluice/lint/kit"
)

// widowed names the parts whose joints go together with what fixes leave out.
func (s *seer) widowed(fixes []fix.Fix) []string {
	var gone map[int32]bool
	for i := range fixes {
		for k := range fixes[i].Edits {
			for n := range fixes[i].Edits[k].Ops {
				if op := &fixes[i].Edits[k].Ops[n]; op.Kind == fix.Drop {
					if gone == nil {
						gone = map[int32]bool{}
					}
					gone[op.Stroke] = true
				}
			}
		}
	}
	if gone == nil || s.res.Kit == nil {
		return nil
	}
	if s.mates == nil {
		s.pair()
	}
	var lone []string
	lose := func(o int32, mates []int32) {
		if len(mates) == 0 || !allOf(&s.res.Sheet.Outlines[o], gone) {
			return
		}
		for _, m := range mates {
			if name := s.res.Names[m]; !slices.Contains(lone, name) {
				lone = append(lone, name)
			}
		}
	}
	for _, o := range s.outlinesOf(gone) {
		lose(o, s.joints[o])
		if k := s.res.Sheet.Outlines[o].Part; k >= 0 && s.res.Sheet.Parts[k].Outer == o {
			lose(o, s.mates[k])
		}
	}
	return lone
}

// outlinesOf returns the outlines that strokes draw.
func (s *seer) outlinesOf(strokes map[int32]bool) (all []int32) {
	for x := range strokes {
		if o, ok := s.draws[x]; ok {
			all = append(all, o)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func allOf(o *outline.Outline, strokes map[int32]bool) bool {
	return !slices.ContainsFunc(o.Src, func(x int32) bool { return x >= 0 && !strokes[x] })
}

// pair notes which joints go together.
func (s *seer) pair() {
	s.joints, s.mates, s.draws = map[int32][]int32{}, map[int32][]int32{}, map[int32]int32{}
	for o := range s.res.Sheet.Outlines {
		for _, x := range s.res.Sheet.Outlines[o].Src {
			s.draws[x] = int32(o)
		}
	}
	k := s.res.Kit()
	for i := range k.Pairs {
		p := &k.Pairs[i]
		s.mates[p.PartA] = append(s.mates[p.PartA], p.PartB)
		s.mates[p.PartB] = append(s.mates[p.PartB], p.PartA)
		for _, side := range [2]struct {
			joint int
			mate  int32
		}{{p.JointA, p.PartB}, {p.JointB, p.PartA}} {
			if side.joint >= 0 && k.Joints[side.joint].Kind == kit.Slot {
				o := k.Joints[side.joint].Outline
				s.joints[o] = append(s.joints[o], side.mate)
			}
		}
	}
}
