package dxf

import (
	"github.com/yofu/dxf/entity"
	"github.com/yofu/dxf/format"
)

// colored is an entity with a colour of its own, which yofu/dxf has no way to
// write.
type colored struct {
	entity.Entity
	color int
}

// Format writes the entity, its colour after its layer.
func (c colored) Format(f format.Formatter) {
	c.Entity.Format(&colorFormat{f, c.color})
}

// colorFormat adds a colour after the layer of an entity.
type colorFormat struct {
	format.Formatter
	color int
}

func (f *colorFormat) WriteString(code int, v string) {
	f.Formatter.WriteString(code, v)
	if code == 8 {
		f.WriteInt(62, f.color)
	}
}
