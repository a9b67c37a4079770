package kit

import (
	"cmp"
	"slices"

	"sluice/geom"
)

const (
	// onLine is how far, mm, joints of one row may lie off their line.
	onLine = 0.2
	// wallShare and wallWidths are how much of a part lies at least between two
	// slots of a row, as shares of their length and width. Slits with less between
	// them are a line to bend along.
	wallShare, wallWidths = 0.5, 1.5
)

// row is joints of one size, two or more, along one line of a part.
type row struct {
	joints []int // along the line
	dir    geom.Point
}

// rowsOf gathers slots by their middles, or tabs by their ends, into rows.
func rowsOf(js []Joint, pick func(*Joint) bool) []row {
	ix := make([]int, 0, len(js))
	for i := range js {
		if pick(&js[i]) {
			ix = append(ix, i)
		}
	}
	half := func(i int) int { // lines have no direction
		h := heading(js[i].Dir)
		if h < -1570 || h > 1571 {
			h -= sign(h) * 3142
		}
		return h
	}
	slices.SortStableFunc(ix, func(a, b int) int { return cmp.Or(cmp.Compare(js[a].Part, js[b].Part), cmp.Compare(half(a), half(b))) })
	var out []row
	for len(ix) > 0 {
		n := 1
		for n < len(ix) && js[ix[n]].Part == js[ix[0]].Part && half(ix[n])-half(ix[n-1]) <= 1 {
			n++
		}
		out = append(out, onLines(js, ix[:n])...)
		ix = ix[n:]
	}
	return out
}

func sign(h int) int {
	if h < 0 {
		return -1
	}
	return 1
}

// onLines parts joints of one direction by the line they stand on, and by size.
func onLines(js []Joint, ix []int) []row {
	from, u := js[ix[0]].At, js[ix[0]].Dir
	off := func(i int) float64 { return js[i].At.Sub(from).Dot(u.Left()) }
	pos := func(i int) float64 { return js[i].At.Sub(from).Dot(u) }
	size := func(i int) float64 { return max(js[i].Width, js[i].Depth) }
	var out []row
	runsOf(ix, off, onLine, func(line []int) {
		runsOf(line, func(i int) float64 { return js[i].Length }, sameLength, func(long []int) {
			runsOf(long, size, sameSize, func(list []int) {
				if len(list) >= 2 {
					slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(pos(a), pos(b)) })
					out = append(out, row{slices.Clone(list), u})
				}
			})
		})
	})
	return out
}

// runsOf sorts a list by a measure and calls f with each run of it that has no
// step larger than tol.
func runsOf(ix []int, measure func(int) float64, tol float64, f func([]int)) {
	slices.SortStableFunc(ix, func(a, b int) int { return cmp.Compare(measure(a), measure(b)) })
	for len(ix) > 0 {
		n := 1
		for n < len(ix) && measure(ix[n])-measure(ix[n-1]) <= tol {
			n++
		}
		f(ix[:n])
		ix = ix[n:]
	}
}

// carries reports whether between the joints of a row there is enough of the part
// for joints that carry.
func (r *row) carries(js []Joint) bool {
	for n := 1; n < len(r.joints); n++ {
		a, b := &js[r.joints[n-1]], &js[r.joints[n]]
		if b.At.Sub(a.At).Norm()-a.Length < max(wallShare*a.Length, wallWidths*a.Width) {
			return false
		}
	}
	return true
}

// jointRows returns the rows that look like joints: with enough of the part
// between them, and no equal row close beside, as vents have.
func jointRows(js []Joint, pick func(*Joint) bool) []row {
	rows := rowsOf(js, pick)
	// Singles face rows too: a row is looked at among all joints of its part.
	return slices.DeleteFunc(rows, func(r row) bool { return !r.carries(js) })
}
