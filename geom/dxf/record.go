package dxf

// number is a group whose value is a number.
type number struct {
	code int32
	v    float64
}

// text is a group whose value is a text.
type text struct {
	code int32
	s    string
}

// vertex is one VERTEX of a POLYLINE.
type vertex struct {
	p     point3
	bulge float64
	width float64
	flags int32
	bare  bool // x or y is missing
}

// record is one entity as its groups say, before any meaning is drawn from it.
type record struct {
	kind      *entityType
	typ       string
	handle    uint64
	layer     int32 // index in Drawing.Layers
	color     int32 // 256 by layer, 0 by block
	line      int32
	paper     bool // in paper space
	invisible bool
	children  bool   // group 66: VERTEX or ATTRIB follow
	skip      bool   // the rest belongs to an embedded object
	broken    string // why it cannot be used; "" if it can

	brokenCode string // code of the problem
	brokenAt   int    // line of what broke it
	told       bool   // that it is broken or lacks something

	nums  []number
	texts []text
	verts []vertex
	kids  []*record
}

func (r *record) reset() {
	*r = record{
		nums: r.nums[:0], texts: r.texts[:0], verts: r.verts[:0], kids: nil,
		kind: &unknownType, layer: -1, color: 256,
	}
}

// clone returns a copy that shares nothing with r.
func (r *record) clone() *record {
	c := *r
	c.nums = append([]number(nil), r.nums...)
	c.texts = append([]text(nil), r.texts...)
	c.verts = append([]vertex(nil), r.verts...)
	return &c
}

// num returns the last value of a code, or def.
func (r *record) num(code int32, def float64) float64 {
	for i := len(r.nums) - 1; i >= 0; i-- {
		if r.nums[i].code == code {
			return r.nums[i].v
		}
	}
	return def
}

// flags returns an integer group's value, 0 if absent.
func (r *record) flags(code int32) int {
	v := r.num(code, 0)
	if !(v > -2e9 && v < 2e9) {
		return 0
	}
	return int(v)
}

// lead returns which group begins each point of a list: the x with the given
// code, or the y where some program writes that first.
func (r *record) lead(code int32) int32 {
	for i := range r.nums {
		if c := r.nums[i].code; c == code || c == code+10 {
			return c
		}
	}
	return code
}

// missing says which groups are not there though they should be, "" if none.
func (r *record) missing() string {
	for _, code := range r.kind.needs {
		if !r.has(code) {
			return "group " + itoa(int(code)) + " is missing and taken for 0"
		}
	}
	if r.kind.odd != nil && r.kind.odd(r) {
		return "a coordinate is missing and taken for 0"
	}
	return ""
}

// whole reports whether the record has all that its type cannot do without. It
// is asked of the last record of a file that has no end mark, and of one behind
// which stand lines that make no sense.
func (r *record) whole() bool { return r.kind.whole != nil && r.kind.whole(r) }

func (r *record) has(code int32) bool {
	for i := range r.nums {
		if r.nums[i].code == code {
			return true
		}
	}
	return false
}

// count returns how often a code occurs.
func (r *record) count(code int32) int {
	n := 0
	for i := range r.nums {
		if r.nums[i].code == code {
			n++
		}
	}
	return n
}

// text returns the last value of a text group, "" if absent.
func (r *record) text(code int32) string {
	for i := len(r.texts) - 1; i >= 0; i-- {
		if r.texts[i].code == code {
			return r.texts[i].s
		}
	}
	return ""
}

// point returns the point with codes code, code+10 and code+20.
func (r *record) point(code int32) point3 {
	var p point3
	for i := range r.nums {
		switch n := &r.nums[i]; n.code {
		case code:
			p.x = n.v
		case code + 10:
			p.y = n.v
		case code + 20:
			p.z = n.v
		}
	}
	return p
}

// extrusion returns the extrusion direction; false for +Z.
func (r *record) extrusion() (point3, bool) {
	n := point3{0, 0, 1}
	seen := false
	for i := range r.nums {
		switch g := &r.nums[i]; g.code {
		case 210:
			n.x, seen = g.v, true
		case 220:
			n.y, seen = g.v, true
		case 230:
			n.z, seen = g.v, true
		}
	}
	if !seen {
		return n, false
	}
	u, ok := n.unit()
	switch noise := abs(u.x) < 1e-9 && abs(u.y) < 1e-9; {
	case !ok, noise && u.z > 0:
		return point3{0, 0, 1}, false
	case noise:
		return point3{0, 0, -1}, true
	}
	return u, true
}
