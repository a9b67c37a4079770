package dxf

// number is a group whose value is a number.
type number struct {
	code int32
	v    float64
}

// nums are the groups of an entity, or of a part of it, whose values are
// numbers, in file order.
type nums []number

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

// codes is a set of group codes that may have others in it too: those that are equal to
// them in their last seven bits.
type codes [2]uint64

func (c *codes) add(code int32)      { c[code>>6&1] |= 1 << (code & 63) }
func (c *codes) may(code int32) bool { return c[code>>6&1]>>(code&63)&1 != 0 }

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
	extruded  bool   // one of the groups 210, 220, 230 is there
	children  bool   // group 66: VERTEX or ATTRIB follow
	skip      bool   // the rest belongs to an embedded object
	broken    string // why it cannot be used; "" if it can

	brokenCode string // code of the problem
	brokenAt   int    // line of what broke it
	told       bool   // that it is broken or lacks something

	nums        // put there by keep alone
	said  codes // of nums
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
	c.nums = append(nums(nil), r.nums...)
	c.texts = append([]text(nil), r.texts...)
	c.verts = append([]vertex(nil), r.verts...)
	return &c
}

// keep adds a group.
func (r *record) keep(n number) {
	r.nums = append(r.nums, n)
	r.said.add(n.code)
}

// num returns the last value of a code, or def: mostly at once, since most codes that are
// asked for are not there.
func (r *record) num(code int32, def float64) float64 {
	if !r.said.may(code) {
		return def
	}
	return r.nums.num(code, def)
}

// flags returns an integer group's value, 0 if absent.
func (r *record) flags(code int32) int {
	if !r.said.may(code) {
		return 0
	}
	return r.nums.flags(code)
}

// num returns the last value of a code, or def.
func (ns nums) num(code int32, def float64) float64 {
	for i := len(ns) - 1; i >= 0; i-- {
		if ns[i].code == code {
			return ns[i].v
		}
	}
	return def
}

// flags returns an integer group's value, 0 if absent.
func (ns nums) flags(code int32) int {
	v := ns.num(code, 0)
	if !(v > -2e9 && v < 2e9) {
		return 0
	}
	return int(v)
}

// from returns the groups from the first with the given code on.
func (ns nums) from(code int32) nums {
	for i := range ns {
		if ns[i].code == code {
			return ns[i:]
		}
	}
	return nil
}

// fromPoint returns the groups from the first point of a list on, which begins
// with the x of the given code, or with the y where some program writes that
// first.
func (ns nums) fromPoint(code int32) nums {
	for i := range ns {
		if c := ns[i].code; c == code || c == code+10 {
			return ns[i:]
		}
	}
	return nil
}

// cut parts the first member off a list: its members begin with the same code.
func (ns nums) cut() (first, rest nums) {
	for i := 1; i < len(ns); i++ {
		if ns[i].code == ns[0].code {
			return ns[:i], ns[i:]
		}
	}
	return ns, nil
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

func (ns nums) has(code int32) bool {
	for i := range ns {
		if ns[i].code == code {
			return true
		}
	}
	return false
}

// count returns how often a code occurs.
func (ns nums) count(code int32) int {
	n := 0
	for i := range ns {
		if ns[i].code == code {
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
func (ns nums) point(code int32) point3 {
	var p point3
	for i := range ns {
		switch n := &ns[i]; n.code {
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
	if !r.extruded {
		return point3{0, 0, 1}, false
	}
	n := point3{r.num(210, 0), r.num(220, 0), r.num(230, 1)}
	u, ok := n.unit()
	switch noise := abs(u.x) < 1e-9 && abs(u.y) < 1e-9; {
	case !ok, noise && u.z > 0:
		return point3{0, 0, 1}, false
	case noise:
		return point3{0, 0, -1}, true
	}
	return u, true
}
