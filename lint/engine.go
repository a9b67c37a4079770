package lint

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"math"
	"sync"

	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/index"
	"sluice/geom/outline"
	"sluice/lint/assembly"
	"sluice/lint/job"
	"sluice/lint/kit"
)

// Options direct Check and Judge.
type Options struct {
	Rules    []*Rule
	Workers  int // cores to use within one drawing, 0 for all
	Read     dxf.Options
	SureUnit bool        // the unit of the job is that of the drawing: it is not doubted
	Once     bool        // edges common to two parts are flagged, so as to be drawn once
	Known    []Named     // what parts were known as before the drawing was changed
	Told     []Finding   // what was found before the drawing was changed
	Plain    bool        // nobody looks at choices: what they bring is not found out
	Seen     *Foresight  // remembers what choices bring; nil: nothing does
	Corner   *geom.Point // where the drawing's corner was before it was changed; nil: it was not
}

// searchDistance is how far a free end looks for its partner, mm.
const searchDistance = 10

// commonThicknesses are the sheet thicknesses, mm, that slots are usually drawn
// for: the metric preferred sizes (from memory of ANSI B32.3M) and inch stock.
var commonThicknesses = []float64{0.8, 1, 1.2, 1.5, 1.6, 2, 2.5, 3, 4, 5, 6, 8, 9, 10, 12, 15, 18, 1.5875, 3.175, 4.7625, 6.35, 9.525, 12.7, 19.05}

// congruence is the distance within which parts count as the same, mm.
const congruence = 0.02

// Check reads one drawing and judges it. A drawing that cannot be read gives a
// Result with Err set.
func Check(ctx context.Context, path string, r io.Reader, j *job.Job, o Options) *Result {
	d, weighed, err := loadAhead(ctx, r, j, o)
	if err != nil {
		weighed()
		return &Result{Path: path, Err: err, Job: j}
	}
	res, err := judge(ctx, path, d, j, o, weighed)
	if err == nil {
		res, err = counted(ctx, res, o)
	}
	if err == nil {
		err = Foretell(ctx, res, o, nil)
	}
	if err != nil {
		return &Result{Path: path, Err: err, Job: j}
	}
	return res
}

// Load reads a drawing and settles its unit.
func Load(ctx context.Context, r io.Reader, j *job.Job, o Options) (*drawing.Drawing, error) {
	d, weighed, err := loadAhead(ctx, r, j, o)
	weighed()
	if err != nil {
		return nil, err
	}
	return d, nil
}

// loadAhead is Load that leaves the weighing of a unit that is known to go on beside what
// comes next: weighed waits for it, and must be called (drawing.ResolveAhead).
func loadAhead(ctx context.Context, r io.Reader, j *job.Job, o Options) (d *drawing.Drawing, weighed func(), err error) {
	read := o.Read
	read.HatchOutlines = read.HatchOutlines || j.Layers.Hatch == "outline"
	read.Show = shown(j.Answers)
	if d, err = dxf.Read(ctx, r, read); err != nil {
		return nil, func() {}, err
	}
	markSettled(d)
	role, _ := Roles(d, j)
	hints := drawing.UnitHints{
		Thicknesses: commonThicknesses, Thickness: j.Sheet.Thickness,
		Skip: func(s *drawing.Stroke) bool { return role(s) == outline.Ignore }, Sure: o.SureUnit,
		Answer: unitAnswer(j.Answers),
	}
	if len(j.Sheet.Size) == 2 {
		hints.Sheets = []geom.Point{geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1])}
	}
	weighed, err = d.ResolveAhead(ctx, j.Units, j.UnitsBasis, hints, j.Limits.Curve)
	return d, weighed, err
}

// Roles returns the role of each stroke under a job, and whether the drawing
// carries this tool's own layers.
func Roles(d *drawing.Drawing, j *job.Job) (role func(*drawing.Stroke) outline.Role, own bool) {
	own = d.Own
	type key struct {
		layer int32
		color int16
	}
	known := map[key]outline.Role{}
	var last key // most strokes lie where the one before does
	for i := range d.Strokes {
		s := &d.Strokes[i]
		k := key{s.Layer, s.Color}
		if i > 0 && k == last {
			continue
		}
		last = k
		if _, ok := known[k]; !ok {
			known[k], _ = LayerRole(d, j, s.Layer, s.Color)
		}
	}
	most := known[last]
	return func(s *drawing.Stroke) outline.Role {
		if d.Paths {
			return outline.Ignore // of a stream, of no part
		}
		switch s.As {
		case drawing.AsEtch:
			return outline.Etch
		case drawing.AsNote, drawing.AsSettled:
			return outline.Noted
		case drawing.AsCut:
			return outline.Cut
		case drawing.AsTab:
			return outline.Tab
		}
		k := key{s.Layer, s.Color}
		if k == last {
			return most
		}
		return known[k]
	}, own
}

// cutLayer takes the two layers for cuts of a corrected drawing as one: on which
// of them a line lies says only where its outline was found.
func cutLayer(d *drawing.Drawing) func(*drawing.Stroke) int32 {
	out, in := repair.FindLayer(d, LayerOutside), repair.FindLayer(d, LayerInside)
	if !d.Own || out < 0 || in < 0 {
		return nil
	}
	return func(s *drawing.Stroke) int32 {
		if s.Layer == in {
			return out
		}
		return s.Layer
	}
}

// LayerRole returns the role of what is drawn on a layer in a colour, and the
// pattern of the job that says so; by is "" where the layer is one of our own, or
// cut because no pattern means it. A person may decide otherwise of what a pattern
// takes: by says by which all the same.
func LayerRole(d *drawing.Drawing, j *job.Job, layer int32, color int16) (role outline.Role, by string) {
	name := d.LayerName(layer)
	if d.Own {
		switch name {
		case LayerTab:
			return outline.Tab, ""
		case LayerNote:
			return outline.Noted, ""
		case LayerEtch:
			return outline.Etch, ""
		case LayerOutside, LayerInside:
			return outline.Cut, ""
		}
	}
	taken, by := j.Layers.Take(name, int(color), d.NoPlot(layer))
	if by != "" {
		switch j.Answers.Choice(KeyID("unread-entity", LayerKey(name, by))) {
		case "use":
			return outline.Cut, by
		case "etch":
			return outline.Etch, by
		case "drop":
			return outline.Ignore, by
		}
	}
	switch taken {
	case job.TakenIgnore:
		return outline.Ignore, by
	case job.TakenEtch:
		return outline.Etch, by
	}
	return outline.Cut, ""
}

// CutMark reports whether a mark has been decided to be cut: by the job, or by
// lying on INSIDE of a drawing of our own, where undecided marks lie on NOTE.
func CutMark(d *drawing.Drawing, j *job.Job, o *outline.Open) bool {
	if j.Repair.LooseMarks == "cut" {
		return true
	}
	for _, s := range o.Src {
		if s >= 0 && (!d.Own || d.Strokes[s].As != drawing.AsLayer || d.LayerName(d.Strokes[s].Layer) != LayerInside) {
			return false
		}
	}
	return true
}

// Layers of a corrected drawing.
const (
	LayerOutside = dxf.LayerOutside
	LayerInside  = dxf.LayerInside
	LayerEtch    = dxf.LayerEtch
	LayerTab     = dxf.LayerTab
	LayerNote    = dxf.LayerNote
)

// Outlines finds the outlines and parts of a drawing under a job. The drawing is
// not changed.
func Outlines(ctx context.Context, d *drawing.Drawing, j *job.Job, o Options) (*outline.Sheet, error) {
	role, own := Roles(d, j)
	return outlines(ctx, d, j, o, role, own)
}

func outlines(ctx context.Context, d *drawing.Drawing, j *job.Job, o Options, role func(*drawing.Stroke) outline.Role, own bool) (*outline.Sheet, error) {
	return outline.Build(ctx, d.Strokes, role, outline.Options{
		Join: j.Limits.Join, Gap: j.Limits.Gap, Same: j.Limits.Same,
		Search: max(searchDistance, j.Limits.Gap), Kerf: j.Jet.Kerf, Workers: o.Workers,
		Layer: cutLayer(d), Once: o.Once,
		Aside: asideChoices(j), Texts: textsAt(d),
		Own:     own && j.Repair.Lettering == "ask", // what it cuts was decided, and is not decided anew
		Decided: own,
	})
}

// Judge finds the outlines of a drawing and runs the rules over them. The
// drawing is not changed.
func Judge(ctx context.Context, path string, d *drawing.Drawing, j *job.Job, o Options) (*Result, error) {
	return judge(ctx, path, d, j, o, func() {})
}

// judge is Judge of a drawing whose unit is weighed meanwhile.
func judge(ctx context.Context, path string, d *drawing.Drawing, j *job.Job, o Options, weighed func()) (*Result, error) {
	role, own := Roles(d, j)
	res, err := examine(ctx, path, d, j, o, role, own, weighed)
	if err != nil {
		return nil, err
	}
	if err := answered(res.Findings, j.Answers, o.Corner != nil, o.Rules); err != nil {
		return nil, err
	}
	heldAsked(res.Findings, res.Sheet, res.Names, j.Answers)
	res.Fates = fates(d, res.Sheet, role)
	carryAside(res.Fates, d, res.Sheet)
	res.Account = AccountOf(res, nil)
	return res, nil
}

// examine finds the outlines of a drawing and what the rules find in them, answered or
// not. Its unit is weighed meanwhile.
func examine(ctx context.Context, path string, d *drawing.Drawing, j *job.Job, o Options, role func(*drawing.Stroke) outline.Role, own bool, weighed func()) (*Result, error) {
	defer weighed()
	sheet, err := outlines(ctx, d, j, o, role, own)
	if err != nil {
		return nil, err
	}
	sheet.Number(congruence)
	res := &Result{Path: path, Job: j, Drawing: d, Sheet: sheet, Extents: d.Extents()}
	var labeled []bool
	res.Names, labeled = nameParts(d, sheet, own, o.Known)
	res.Labeled = labeled
	base := Pass{Ctx: ctx, Job: j, Drawing: d, Sheet: sheet, Names: res.Names, Labeled: labeled, Own: own, cache: newCache(sheet, j)}
	res.Kit = base.cache.kit
	res.Corner = cornerOf(d, sheet)
	if o.Corner != nil {
		res.Corner = *o.Corner
	}
	base.corner = &res.Corner
	res.Findings, res.Accepted, err = runRules(base, o, weighed)
	return res, err
}

// KitOptions returns how to look for joints under a job.
func KitOptions(j *job.Job) kit.Options { return kit.OptionsFor(j, commonThicknesses) }

// FindKit looks for the joints of a sheet under a job, plates at other angles than square
// among them, and says what meets what by where the parts stand.
func FindKit(s *outline.Sheet, j *job.Job) *kit.Kit {
	k := assembly.Find(s, KitOptions(j))
	assembly.Match(k)
	return k
}

func newCache(s *outline.Sheet, j *job.Job) *cache {
	c := &cache{rings: make([][]clear.Ring, len(s.Parts))}
	all := make([]clear.Ring, 0, len(s.Outlines))
	for k := range s.Parts {
		from := len(all)
		p := &s.Parts[k]
		all = append(all, clear.Ring{Path: s.Outlines[p.Outer].Pieces, Box: s.Outlines[p.Outer].Box})
		for _, h := range p.Holes {
			all = append(all, clear.Ring{Path: s.Outlines[h].Pieces, Box: s.Outlines[h].Box})
		}
		c.rings[k] = all[from:len(all):len(all)]
	}
	c.kit = sync.OnceValue(func() *kit.Kit { return FindKit(s, j) })
	c.space = sync.OnceValue(func() *assembly.Kit { return assembly.Soon(c.kit()) })
	c.partOf = sync.OnceValue(func() map[int32]int32 {
		of := map[int32]int32{}
		for i := range s.Outlines {
			for _, src := range s.Outlines[i].Src {
				if _, ok := of[src]; !ok && src >= 0 {
					of[src] = s.Outlines[i].Part
				}
			}
		}
		return of
	})
	return c
}

// idStep is the step, mm, in which places count for ids; idShift keeps what is drawn
// in round figures off the edges between steps.
const idStep, idShift = 0.05, 0.0171

// identify gives each finding an id made of its rule and its place from a corner of
// the drawing, so that it stays the same when the drawing is moved, when entities
// are put in another order or get other handles, and when other findings are settled.
// One that was told before, and has shifted since by what was repaired, keeps its id.
func identify(all []Finding, corner geom.Point, told []Finding) {
	step := func(v float64) int64 { return int64(math.Floor((v + idShift) / idStep)) }
	seen := map[string]int{}
	for i := range all {
		f := &all[i]
		if f.Key != "" {
			f.ID = KeyID(f.Rule, f.Key)
			continue
		}
		at := f.At.Sub(corner)
		key := fmt.Sprintf("%s|%d|%d", f.Rule, step(at.X), step(at.Y))
		n := seen[key]
		seen[key] = n + 1
		sum := sha256.Sum256([]byte(fmt.Sprintf("%s|%d", key, n)))
		f.ID = hex.EncodeToString(sum[:6])
	}
	if len(told) > 0 {
		keepIDs(all, told)
	}
}

// KeyID returns the id of a finding that is known by its key. It can be told before
// the drawing is judged, so that reading it can go by an answer.
func KeyID(rule, key string) string {
	sum := sha256.Sum256([]byte(rule + "|" + key))
	return hex.EncodeToString(sum[:6])
}

// idReach is how far, mm, a finding may shift by repairs and still be the same.
const idReach = 2.0

// keepIDs gives findings the ids of those that were told before and are there no
// longer: of the same rule, the nearest within idReach. What was told at several places
// by one id, since its part is cut several times, gives it at each.
func keepIDs(all, told []Finding) {
	ids, was := map[string]bool{}, map[string]bool{}
	for i := range all {
		ids[all[i].ID] = true
	}
	gone, taken := map[string]*index.Cells[int]{}, make([]bool, len(told))
	for i := range told {
		x := &told[i]
		was[x.ID] = true
		if !ids[x.ID] {
			if gone[x.Rule] == nil {
				gone[x.Rule] = index.NewCells[int](2*idReach, 16)
			}
			gone[x.Rule].Add(x.At, i)
		}
	}
	for i := range all {
		f := &all[i]
		if f.Key != "" || gone[f.Rule] == nil || was[f.ID] {
			continue
		}
		best, at := idReach, -1
		gone[f.Rule].Around(f.At, idReach, func(k int) bool {
			if d := told[k].At.Dist(f.At); d < best && !taken[k] {
				best, at = d, k
			}
			return true
		})
		if at >= 0 {
			f.ID, taken[at] = told[at].ID, true
		}
	}
}

// cornerOf returns the place from which findings of a drawing are known: the lower
// left corner of its parts, or of all that is drawn where there are none.
func cornerOf(d *drawing.Drawing, s *outline.Sheet) geom.Point {
	for _, b := range []geom.Box{s.PartsBox(), d.Extents()} {
		if !b.Empty() && b.Finite() {
			return b.Min
		}
	}
	return geom.Point{}
}
