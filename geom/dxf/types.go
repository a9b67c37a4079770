package dxf

// entityType is what the reader knows of one type of entity. To add a type,
// write an entry beside what draws it, as in line.go, and name it in
// entityTypes.
type entityType struct {
	names []string
	draw  func(*reader, *record, *env) error // nil: told and left out
	why   string                             // of types left out, behind their name

	coords coordinates
	needs  []int32            // groups it cannot do without, though 0 is taken where they are missing
	odd    func(*record) bool // reports that a point of a list lacks a coordinate
	whole  func(*record) bool // reports that nothing of it is missing; nil: that cannot be told
	texts  []int32            // text groups that are used

	points   []int32               // groups of points on it; nil: all from 10 to 18
	pointsBy int32                 // these come after the first group of this code, 0: all count
	reach    func(*record) float64 // how far it may lie from its points; nil: it does not
	height   bool                  // group 38 is its height, which it tells itself
	normal   bool                  // group 210 is the normal of its plane, no extrusion

	refers bool        // draws what lies elsewhere, each piece on its own layer
	part   bool        // belongs to another record or to the structure of the file
	child  *entityType // of records that follow and belong to it, up to SEQEND
	adopt  func(a *assembler, parent, child *record) error
	seqend bool // SEQEND must follow
}

// coordinates says in which coordinate system the points of a type are given.
type coordinates uint8

const (
	objectCoords coordinates = iota // OCS, on the extrusion direction (210)
	worldCoords                     // WCS
)

// entityTypes are the types known, by name.
var entityTypes = byName(
	&lineType, &pointType, &arcType, &circleType, &ellipseType, &splineType,
	&lwpolylineType, &polylineType, &vertexType, &seqendType, &mlineType,
	&solidType, &faceType, &hatchType, &textType, &mtextType, &attribType,
	&insertType, &blockType, &endblkType,

	unread(", not cut", "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "TOLERANCE", "ATTDEF", "ACAD_TABLE"),
	unread(", an endless construction line", "RAY", "XLINE"),
	unread(", a solid model: export its flat outline", "REGION", "3DSOLID", "BODY", "SURFACE", "EXTRUDEDSURFACE", "LOFTEDSURFACE", "REVOLVEDSURFACE", "SWEPTSURFACE", "PLANESURFACE", "MESH"),
	unread(", a picture", "IMAGE", "OLEFRAME", "OLE2FRAME", "WIPEOUT", "PDFUNDERLAY", "DGNUNDERLAY", "DWFUNDERLAY", "UNDERLAY"),
	unread(", its shape file is not in the drawing", "SHAPE"),
	unread(", made by another program's extension", "ACAD_PROXY_ENTITY"),
	unread(", a window on the model", "VIEWPORT"),
)

// Parts of the structure of a file, and all types without an entry.
var (
	seqendType  = entityType{names: []string{"SEQEND"}, part: true}
	blockType   = entityType{names: []string{"BLOCK"}, part: true, texts: []int32{1, 2}}
	endblkType  = entityType{names: []string{"ENDBLK"}, part: true}
	entryType   = entityType{part: true, texts: []int32{2, 6, 1001}} // of a table
	unknownType = entityType{}
)

func unread(why string, names ...string) *entityType { return &entityType{names: names, why: why} }

func byName(types ...*entityType) map[string]*entityType {
	m := map[string]*entityType{}
	for _, t := range types {
		for _, n := range t.names {
			m[n] = t
		}
	}
	return m
}

// typeNamed returns what is known of the type of that name.
func typeNamed(name string) *entityType {
	if t := entityTypes[name]; t != nil {
		return t
	}
	return &unknownType
}

// leftOut reports whether entities of the type are told and no more: then no
// group of them but their place is kept.
func (t *entityType) leftOut() bool { return t.draw == nil && !t.part }

// groups returns a test of whether a record has all of these groups.
func groups(codes ...int32) func(*record) bool {
	return func(r *record) bool {
		for _, c := range codes {
			if !r.has(c) {
				return false
			}
		}
		return true
	}
}
