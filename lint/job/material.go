package job

import (
	"errors"
	"strings"
)

// material takes one key of a [[material]] table.
func (r *reader) material(key string, line int, v value) error {
	if len(r.job.Material) == 0 {
		return r.errorf(line, "material is a list of tables; write [[material]]")
	}
	m := &r.job.Material[len(r.job.Material)-1]
	var err error
	switch key {
	case "name":
		m.Name, err = v.line()
		if err == nil && strings.TrimSpace(m.Name) == "" {
			err = errors.New("is empty; fill it in")
		}
	case "density":
		err = (&setting{kind: amount, measure: &densities, low: 1, most: 30_000}).store(&m.Density, v)
	case "machinability":
		err = (&setting{kind: number, low: 0.1, most: 100_000}).store(&m.Machinability, v)
	case "shear":
		err = (&setting{kind: amount, measure: &pressures, low: 1, most: 5000}).store(&m.Shear, v)
	default:
		keys := []string{"name", "density", "machinability", "shear"}
		return r.errorf(line, "material.%s: unknown setting; did you mean %q? (%s)", short(key), Nearest(key, keys), list(keys))
	}
	if err != nil {
		return r.errorf(line, "material.%s: %v", key, err)
	}
	return nil
}

// finishMaterials checks that each material is complete and stands once.
func (r *reader) finishMaterials() error {
	seen := map[string]bool{}
	for i := range r.job.Material {
		m := &r.job.Material[i]
		name := strings.ToLower(strings.TrimSpace(m.Name))
		switch {
		case name == "":
			return r.errorf(m.Line, "material: a name is missing; add name = \"brass 360\"")
		case m.Density == 0:
			return r.errorf(m.Line, "material: a density is missing; add density = \"8500kg/m3\"")
		case seen[name]:
			return r.errorf(m.Line, "material: %s stands twice; take one out", quote(m.Name))
		}
		seen[name] = true
	}
	return nil
}
