package review

import (
	"net/http"

	"sluice/geom"
	"sluice/lint/settle"
)

// part keeps what is wanted of a part.
func (s *Server) part(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Part  string  `json:"part"`
		Count *int    `json:"count"`
		Tabs  *string `json:"tabs"`
		Name  *string `json:"name"`
		Face  *string `json:"face"`
	}
	if read(w, r, &in) {
		done(w, s.desk.WishPart(in.Part, settle.PartWish{Count: in.Count, Tabs: in.Tabs, Name: in.Name, Face: in.Face}))
	}
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
func (s *Server) spot(w http.ResponseWriter, r *http.Request) {
	var in grip
	if !read(w, r, &in) {
		return
	}
	g, to := in.of()
	at, refused, err := s.desk.Spot(g, to)
	if err != nil {
		refuse(w, err)
		return
	}
	answer(w, map[string]any{"at": [2]float64{at.X, at.Y}, "refused": refused})
}

// put puts a tab or number elsewhere.
func (s *Server) put(w http.ResponseWriter, r *http.Request) {
	var in grip
	if read(w, r, &in) {
		g, to := in.of()
		done(w, s.desk.Put(g, to))
	}
}
