package report

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"

	"sluice/geom/plate"
	"sluice/lint/assembly"
)

// glTF 2.0 in binary form (ISO/IEC 12113:2022, section 4.4): what the numbers mean.
const (
	glbMagic    = 0x46546C67
	glbJSON     = 0x4E4F534A
	glbBinary   = 0x004E4942
	gltfFloat   = 5126
	gltfArray   = 34962
	gltfLengths = 1e-3 // metres in a millimetre
)

// The parts of glTF that are used.
type (
	gltfNode struct {
		Name     string       `json:"name,omitempty"`
		Mesh     *int         `json:"mesh,omitempty"`
		Matrix   *[16]float64 `json:"matrix,omitempty"`
		Children []int        `json:"children,omitempty"`
	}
	gltfMesh struct {
		Primitives []gltfPrimitive `json:"primitives"`
	}
	gltfPrimitive struct {
		Attributes map[string]int `json:"attributes"`
		Material   int            `json:"material"`
	}
	gltfView struct {
		Buffer     int `json:"buffer"`
		ByteOffset int `json:"byteOffset"`
		ByteLength int `json:"byteLength"`
		Target     int `json:"target"`
	}
	gltfAccessor struct {
		View          int         `json:"bufferView"`
		ComponentType int         `json:"componentType"`
		Count         int         `json:"count"`
		Type          string      `json:"type"`
		Min           *[3]float32 `json:"min,omitempty"`
		Max           *[3]float32 `json:"max,omitempty"`
	}
)

// gltf gathers a model.
type gltf struct {
	nodes     []gltfNode
	meshes    []gltfMesh
	views     []gltfView
	accessors []gltfAccessor
	data      bytes.Buffer
	of        map[int]int // by part: its mesh
}

// assembleGLB writes a kit in space as a model: a node for each group, side by side, and
// in it one for each part, named by its number. The model is in metres with y upwards,
// as glTF has it.
func assembleGLB(w io.Writer, a *Assembly) error {
	m := &gltf{of: map[int]int{}}
	root := gltfNode{Name: clean(a.Path), Matrix: &[16]float64{gltfLengths, 0, 0, 0, 0, 0, -gltfLengths, 0, 0, gltfLengths, 0, 0, 0, 0, 0, 1}}
	m.nodes = append(m.nodes, root)
	x := 0.0
	for i := range a.Kit.Groups {
		n, right := m.group(a, i, x)
		x = right + 20
		m.nodes[0].Children = append(m.nodes[0].Children, n)
	}
	doc := map[string]any{
		"asset": map[string]string{"version": "2.0", "generator": "sluice"},
		"scene": 0, "scenes": []any{map[string]any{"nodes": []int{0}}},
		"nodes": m.nodes,
	}
	if len(m.meshes) > 0 {
		doc["meshes"], doc["bufferViews"], doc["accessors"] = m.meshes, m.views, m.accessors
		doc["buffers"] = []any{map[string]int{"byteLength": m.data.Len()}}
		doc["materials"] = []any{map[string]any{"name": "plate", "pbrMetallicRoughness": map[string]any{
			"baseColorFactor": []float64{0.72, 0.76, 0.74, 1}, "metallicFactor": 0.3, "roughnessFactor": 0.6}}}
	}
	return m.write(w, doc)
}

// group adds a group whose left side is at x, mm, and returns its node and its right side.
func (m *gltf) group(a *Assembly, i int, x float64) (node int, right float64) {
	g := &a.Kit.Groups[i]
	lo, hi := plate.Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, plate.Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for k := range g.Parts {
		l, h := assembly.Shape(a.Sheet, g.Parts[k].Part, a.Kit.PlateOf(g.Parts[k].Part)).Extent(g.Parts[k].Pose)
		for n := range 3 {
			lo[n], hi[n] = min(lo[n], l[n]), max(hi[n], h[n])
		}
	}
	node = len(m.nodes)
	m.nodes = append(m.nodes, gltfNode{Name: fmt.Sprintf("group %d", i+1), Matrix: moved([16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, x - lo[0], -lo[1], -lo[2], 1})})
	for k := range g.Parts {
		p := &g.Parts[k]
		mesh := m.mesh(a, p.Part)
		row := p.Pose.Matrix()
		var col [16]float64 // glTF has columns one after the other
		for r := range 4 {
			for c := range 4 {
				col[4*c+r] = row[4*r+c]
			}
		}
		m.nodes[node].Children = append(m.nodes[node].Children, len(m.nodes))
		m.nodes = append(m.nodes, gltfNode{Name: "part " + clean(a.Name(p.Part)), Mesh: &mesh, Matrix: moved(col)})
	}
	return node, x + hi[0] - lo[0]
}

// moved returns a matrix as nodes have it: none for one that moves nothing, which is what
// a node without one means.
func moved(m [16]float64) *[16]float64 {
	if m == [16]float64{0: 1, 5: 1, 10: 1, 15: 1} {
		return nil
	}
	return &m
}

// mesh returns the mesh of a part, made once.
func (m *gltf) mesh(a *Assembly, part int) int {
	if i, ok := m.of[part]; ok {
		return i
	}
	tris := assembly.Shape(a.Sheet, part, a.Kit.PlateOf(part)).Mesh()
	lo, hi := [3]float32{}, [3]float32{}
	for k := range 3 {
		lo[k], hi[k] = float32(math.Inf(1)), float32(math.Inf(-1))
	}
	var places, normals bytes.Buffer
	for _, t := range tris {
		n := t[1].Sub(t[0]).Cross(t[2].Sub(t[0])).Unit()
		for _, v := range t {
			var p, q [3]float32
			for k := range 3 {
				p[k], q[k] = float32(v[k]), float32(n[k])
				lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
			}
			_ = binary.Write(&places, binary.LittleEndian, p)
			_ = binary.Write(&normals, binary.LittleEndian, q)
		}
	}
	at := m.put(places.Bytes(), 3*len(tris), &lo, &hi)
	nt := m.put(normals.Bytes(), 3*len(tris), nil, nil)
	i := len(m.meshes)
	m.meshes = append(m.meshes, gltfMesh{[]gltfPrimitive{{map[string]int{"POSITION": at, "NORMAL": nt}, 0}}})
	m.of[part] = i
	return i
}

// put adds data and returns its accessor.
func (m *gltf) put(data []byte, count int, lo, hi *[3]float32) int {
	m.views = append(m.views, gltfView{0, m.data.Len(), len(data), gltfArray})
	m.data.Write(data)
	m.accessors = append(m.accessors, gltfAccessor{len(m.views) - 1, gltfFloat, count, "VEC3", lo, hi})
	return len(m.accessors) - 1
}

// write writes the chunks, each padded to four bytes.
func (m *gltf) write(w io.Writer, doc any) error {
	text, err := json.Marshal(doc)
	if err != nil {
		return err
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	total := 12 + 8 + len(text)
	if m.data.Len() > 0 {
		total += 8 + m.data.Len()
	}
	var b bytes.Buffer
	put := func(v ...uint32) { _ = binary.Write(&b, binary.LittleEndian, v) }
	put(glbMagic, 2, uint32(total), uint32(len(text)), glbJSON)
	b.Write(text)
	if m.data.Len() > 0 {
		put(uint32(m.data.Len()), glbBinary)
		b.Write(m.data.Bytes())
	}
	_, err = w.Write(b.Bytes())
	return err
}
