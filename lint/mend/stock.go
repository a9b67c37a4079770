package mend

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"

	"sluice/fix/layout"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
)

// piece is a kind of stock to cut from, and what is known of it.
type piece struct {
	layout.Sheet
	told  lint.Stock
	price float64 // of one; infinite where a whole sheet has none
}

// sameThickness is how far the thickness of a piece of stock may be from that of the
// sheet, mm: 3/16 in is sold as 4.76 mm.
const sameThickness = 0.05

// rackOf returns the stock for what is cut from sheet kind of the job, the cheapest
// first, a smaller one before a larger.
func rackOf(ctx context.Context, j *job.Job, kind int, o Options, open func(string) (io.ReadCloser, error)) ([]piece, error) {
	own := j.OnSheet(kind)
	if j.Layout.Remnant != "" {
		p, err := drawnStock(ctx, j.Layout.Remnant, "remnant", own, o, open)
		if err != nil {
			return nil, err
		}
		p.Margin, p.Count = own.Sheet.Margin, 1
		return []piece{p.on(own)}, nil
	}
	var rack []piece
	for i := range j.Stock {
		s := &j.Stock[i]
		var p piece
		if s.File != "" {
			var err error
			if p, err = drawnStock(ctx, s.File, "stock", own, o, open); err != nil {
				return nil, err
			}
		} else {
			p.Width, p.Height = s.Size[0], s.Size[1]
		}
		p.told.Name = s.Title(i)
		p.told.Material = cmp.Or(s.Material, p.told.Material, j.Sheet.Material)
		p.told.Thickness = cmp.Or(s.Thickness, p.told.Thickness, j.Sheet.Thickness)
		if math.Abs(p.told.Thickness-own.Sheet.Thickness) > sameThickness || !sameMaterial(p.told.Material, own) {
			continue
		}
		p.Margin, p.Count, p.price = s.Margin, int(s.Count), s.Price
		rack = append(rack, p.on(own))
	}
	if len(own.Sheet.Size) == 2 {
		k := j.Sheets()[kind]
		p := piece{price: cmp.Or(k.Price, math.Inf(1))}
		p.Width, p.Height, p.Margin, p.Count = own.Sheet.Size[0], own.Sheet.Size[1], own.Sheet.Margin, int(cmp.Or(k.Count, j.Layout.Sheets))
		p.told.Name = k.Name
		if p.told.Name == "" && len(j.SheetList) > 1 {
			p.told.Name = k.Title(kind)
		}
		p.told.Material, p.told.Thickness = own.Sheet.Material, own.Sheet.Thickness
		rack = append(rack, p.on(own))
	}
	if len(rack) == 0 {
		return nil, errors.New("--layout needs the size of the sheet; set [sheet] size in the job file")
	}
	slices.SortStableFunc(rack, func(a, b piece) int {
		return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(a.Width*a.Height, b.Width*b.Height))
	})
	return rack, nil
}

// sameMaterial reports whether stock of a material will do for the job's sheet: alike in
// name, or unknown.
func sameMaterial(name string, own *job.Job) bool {
	a, _ := cutting.FindMaterial(name, own.Material)
	b, _ := cutting.FindMaterial(own.Sheet.Material, own.Material)
	return name == "" || own.Sheet.Material == "" || strings.EqualFold(name, own.Sheet.Material) || a.Name != "" && a.Name == b.Name
}

// on finishes a piece of stock for the job of what is cut from it: grain, clamps, and
// what reports tell: clamps as they are, without the distance kept from them.
func (p piece) on(own *job.Job) piece {
	switch own.Layout.Grain {
	case "x":
		p.Grained = true
	case "y":
		p.Grained, p.Grain = true, 90
	}
	zones := own.Clamps(geom.Point{})
	for _, z := range zones {
		p.Clamps = append(p.Clamps, z.Inflate(own.ClampSpacing()))
	}
	p.Name = p.told.Name
	t := &p.told
	t.Width, t.Height, t.Margin, t.Outline, t.Holes, t.Clamps = p.Width, p.Height, p.Margin, p.Outline, p.Holes, zones
	return p
}

// drawnStock reads the drawing of a piece of stock: its largest part, the lower left
// corner at 0,0, and what an offcut's notes say of it. what is what messages call it.
func drawnStock(ctx context.Context, name, what string, own *job.Job, o Options, open func(string) (io.ReadCloser, error)) (p piece, err error) {
	if open == nil {
		return p, fmt.Errorf("%s %s: cannot be read here", what, name)
	}
	r, err := open(name)
	if err != nil {
		return p, fmt.Errorf("%s %s: %w", what, name, err)
	}
	defer r.Close()
	plain := *own
	plain.Answers, plain.Units, plain.UnitsBasis = nil, "auto", "" // those are of the parts
	res := lint.Check(ctx, name, r, &plain, o.Options)
	if res.Err != nil {
		return p, fmt.Errorf("%s %s: %w", what, name, res.Err)
	}
	best := -1
	for k := range res.Sheet.Parts {
		if best < 0 || res.Sheet.Parts[k].Box.W()*res.Sheet.Parts[k].Box.H() > res.Sheet.Parts[best].Box.W()*res.Sheet.Parts[best].Box.H() {
			best = k
		}
	}
	if best < 0 {
		return p, fmt.Errorf("%s %s: it has no closed outline", what, name)
	}
	part := &res.Sheet.Parts[best]
	to := geom.Shift(part.Box.Min.Mul(-1))
	p.Width, p.Height = part.Box.W(), part.Box.H()
	p.Outline = res.Sheet.Outlines[part.Outer].Pieces.Transform(to)
	for _, h := range part.Holes {
		p.Holes = append(p.Holes, res.Sheet.Outlines[h].Pieces.Transform(to))
	}
	if len(p.Holes) == 0 && rectangular(p.Outline, p.Width, p.Height) {
		p.Outline = nil
	}
	p.told.Thickness, p.told.Material = readOffcut(res.Drawing)
	return p, nil
}

// rectangular reports whether an outline is its own box, its lower left corner at 0,0.
func rectangular(p geom.Path, w, h float64) bool {
	for i := range p {
		q := &p[i]
		if !q.IsLine() || !(q.A.X < 1e-6 && q.B.X < 1e-6 || q.A.Y < 1e-6 && q.B.Y < 1e-6 || q.A.X > w-1e-6 && q.B.X > w-1e-6 || q.A.Y > h-1e-6 && q.B.Y > h-1e-6) {
			return false
		}
	}
	return math.Abs(math.Abs(p.Area())-w*h) < 1e-6*w*h
}

// offcutNote is what the drawing of an offcut says of its sheet.
var offcutNote = regexp.MustCompile(`^offcut: (?:(.*), )?([0-9.]+) mm thick$`)

// offcutText returns that note; "" where the thickness is not known.
func offcutText(s *lint.Stock) string {
	if !(s.Thickness > 0) {
		return ""
	}
	thick := strings.TrimSuffix(job.FormatLength(s.Thickness), "mm") + " mm thick"
	if s.Material == "" {
		return "offcut: " + thick
	}
	return "offcut: " + lint.Clean(s.Material) + ", " + thick
}

// readOffcut returns what the drawing of an offcut says of its sheet, 0 and "" where it
// says nothing.
func readOffcut(d *drawing.Drawing) (thickness float64, material string) {
	for i := range d.Texts {
		if m := offcutNote.FindStringSubmatch(d.Texts[i].Value); m != nil && d.Own {
			if t, err := job.ParseLength(m[2]); err == nil {
				return t, m[1]
			}
		}
	}
	return 0, ""
}
