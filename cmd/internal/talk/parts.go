package talk

import (
	"encoding/json"

	"sluice/geom"
	"sluice/lint/settle"
)

// part keeps what is wanted of a part.
func (t *Talk) part(d *json.Decoder) Answer {
	var in struct {
		Part  string  `json:"part"`
		Count *int    `json:"count"`
		Tabs  *string `json:"tabs"`
		Name  *string `json:"name"`
		Face  *string `json:"face"`
	}
	if d.Decode(&in) != nil {
		return unread
	}
	return done(t.desk.WishPart(in.Part, settle.PartWish{Count: in.Count, Tabs: in.Tabs, Name: in.Name, Face: in.Face}))
}

// grip names a tab or a number and where it is to go, mm in the drawing.
type grip struct {
	Kind string     `json:"kind"`
	Part string     `json:"part"`
	From [2]float64 `json:"from"`
	To   [2]float64 `json:"to"`
}

func (g *grip) of() (settle.Grip, geom.Point) {
	return settle.Grip{Kind: g.Kind, Part: g.Part, At: geom.Pt(g.From[0], g.From[1])}, geom.Pt(g.To[0], g.To[1])
}

// spot tells where a tab or number would come to stand.
func (t *Talk) spot(d *json.Decoder) Answer {
	var in grip
	if d.Decode(&in) != nil {
		return unread
	}
	g, to := in.of()
	at, refused, err := t.desk.Spot(g, to)
	if err != nil {
		return refuse(err)
	}
	return tell(map[string]any{"at": [2]float64{at.X, at.Y}, "refused": refused})
}

// put puts a tab or number elsewhere.
func (t *Talk) put(d *json.Decoder) Answer {
	var in grip
	if d.Decode(&in) != nil {
		return unread
	}
	g, to := in.of()
	return done(t.desk.Put(g, to))
}
