package drawing

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"sync"

	"sluice/geom"
)

// UnitHints say what sizes are to be expected, to guess or doubt a unit by.
type UnitHints struct {
	Sheets      []geom.Point       // sizes of sheets in use, mm; the usual ones always count
	Thickness   float64            // of the sheet that the job is for, mm; 0 if unknown
	Thicknesses []float64          // common sheet thicknesses, mm: slots are about as wide
	Skip        func(*Stroke) bool // what the job leaves out; nil: nothing
	Sure        bool               // the unit asked for is known to be right: nothing is doubted
	Answer      string             // what a person says where the unit is in doubt: a name or "scale:F"; "" for nothing
}

// Resolve settles the unit, turns all lengths into mm, and turns splines and
// ellipses into arcs that stay within curveTol mm of them. It is called once.
//
// forced is "" or "auto" (the drawing decides) or the name of a unit; forcedBasis
// then says who asked: "flag" or "job". Without it the header's $INSUNITS
// decides; where it is silent the unit is guessed from $MEASUREMENT, words in
// the texts, and in which unit slots, holes and the whole have common sizes.
// Unit.Doubt gives both readings where no unit is stated, where $INSUNITS and
// $MEASUREMENT contradict, where the size is implausible, and where what is
// drawn suits another unit better.
//
// It fails if forced is no unit or curveTol is not positive.
func (d *Drawing) Resolve(forced, forcedBasis string, hints UnitHints, curveTol float64) error {
	return d.ResolveContext(context.Background(), forced, forcedBasis, hints, curveTol)
}

// ResolveContext is Resolve that gives up with ctx's error when ctx is done; the
// drawing is of no use then.
func (d *Drawing) ResolveContext(ctx context.Context, forced, forcedBasis string, hints UnitHints, curveTol float64) error {
	weighed, err := d.ResolveAhead(ctx, forced, forcedBasis, hints, curveTol)
	weighed()
	return err
}

// mostAhead is how many strokes a drawing may have to be weighed beside other work: what
// is looked at takes half as much room as the drawing.
const mostAhead = 300_000

// ResolveAhead is ResolveContext that does not wait for the doubt of a unit that is known
// without it: weighed waits, and makes d.Unit whole. It must be called, after errors
// too; until then d.Unit has the unit and no doubt.
func (d *Drawing) ResolveAhead(ctx context.Context, forced, forcedBasis string, hints UnitHints, curveTol float64) (weighed func(), err error) {
	weighed = func() {}
	if !(curveTol > 0) {
		return weighed, fmt.Errorf("curve tolerance %g mm: it must be above 0", curveTol)
	}
	u, doubted, err := d.chooseUnit(forced, forcedBasis, &hints)
	if err != nil {
		return weighed, err
	}
	switch {
	case doubted == nil:
	case len(d.Strokes) > mostAhead:
		u = doubted()
	default:
		whole := make(chan Unit, 1)
		go func() { whole <- doubted() }()
		weighed = sync.OnceFunc(func() { d.Unit = <-whole })
	}
	d.Unit = u
	d.Scale(u.Factor)
	if err := d.fitCurves(ctx, curveTol); err != nil {
		return weighed, err
	}
	d.settleTurns()
	d.Regroup()
	MarkRings(d.Strokes)
	return weighed, nil
}

// closes is how near, mm, the ends of a curve must lie to each other for it to
// count as drawn closed: coordinates are often written to three places.
const closes = 0.001

// MarkRings notes which strokes are pieces of closed curves: runs of strokes of
// one entity, each starting where the one before ends, the first where the last
// ends.
func MarkRings(strokes []Stroke) {
	for i := 0; i < len(strokes); {
		k := i + 1
		for k < len(strokes) && strokes[i].Entity >= 0 && strokes[k].Entity == strokes[i].Entity && strokes[k].A.Dist(strokes[k-1].B) <= closes {
			k++
		}
		ring := k-i > 1 && strokes[k-1].B.Dist(strokes[i].A) <= closes || k-i == 1 && strokes[i].IsCircle()
		for ; i < k; i++ {
			strokes[i].Ring = ring
		}
	}
}

// chooseUnit settles the unit without touching the drawing. Where it is known before what
// is drawn is weighed, doubted weighs that, and returns the unit with its doubt.
func (d *Drawing) chooseUnit(forced, forcedBasis string, hints *UnitHints) (u Unit, doubted func() Unit, err error) {
	forced = strings.TrimSpace(forced)
	var asked unitRow
	if forced != "" && !strings.EqualFold(forced, "auto") {
		var ok bool
		if asked, ok = unitByName(forced); !ok {
			return Unit{}, nil, fmt.Errorf("unit %q: it must be one of auto, %s", forced, strings.Join(UnitNames, ", "))
		}
	}
	stated, isStated := unitByCode(d.InsUnits)
	switch {
	case asked.factor > 0:
		u = Unit{Name: asked.name, Factor: asked.factor, Basis: forcedBasis}
	case isStated:
		u = Unit{Name: stated.name, Factor: stated.factor, Basis: "header"}
	default:
		u.Basis = "guess"
	}
	if hints.Sure && asked.factor > 0 {
		return u, nil, nil
	}
	w := d.look(hints)
	if u.Factor > 0 && (hints.Answer == "" || forcedBasis == "flag") {
		return u, func() Unit { return w.doubted(u, asked, stated) }, nil
	}
	if u = w.doubted(u, asked, stated); u.Doubt != "" && hints.Answer != "" && forcedBasis != "flag" {
		u = u.answered(hints.Answer)
	}
	return u, nil, nil
}

// doubted returns the unit, guessed where it has none, with what speaks against it.
func (w *weighing) doubted(u Unit, asked, stated unitRow) Unit {
	w.weigh(asked, stated)
	switch {
	case asked.factor > 0:
		w.use(asked)
	case stated.factor > 0:
		w.use(stated)
	default:
		w.guess()
	}
	u.Name, u.Factor = w.used.name, w.used.factor
	if w.size.Empty() {
		return u
	}
	switch {
	case asked.factor > 0:
		u.Doubt, u.Weight = w.doubtAsked()
	case stated.factor > 0:
		u.Doubt, u.Weight = w.doubtStated()
	default:
		u.Doubt, u.Weight = w.doubtGuess()
	}
	if r := w.rival(); r != nil {
		u.Rival = r.factor
	}
	return u
}

// unitWords are made where a drawing has texts.
var unitWords = sync.OnceValue(func() []unitWord {
	return []unitWord{
		{"mm", regexp.MustCompile(`(?i)(\ball dimensions (are )?in mm\b|\bunits?\s*[:=]?\s*(in )?mm\b|\bmillimet(re|er)s?\b|\bmaße in mm\b|\bdimensions en mm\b)`)},
		{"in", regexp.MustCompile(`(?i)(\ball dimensions (are )?in inch(es)?\b|\bunits?\s*[:=]?\s*(in )?(in|inch|inches)\b|\binches\b)`)},
		{"cm", regexp.MustCompile(`(?i)(\bunits?\s*[:=]?\s*(in )?cm\b|\bcentimet(re|er)s?\b)`)},
	}
})

type unitWord struct {
	name string
	re   *regexp.Regexp
}

// wordedUnit returns the unit that texts of the drawing name, "" if none or
// several do.
func (d *Drawing) wordedUnit() string {
	found := ""
	for i := range d.Texts {
		if len(d.Texts[i].Value) > 2000 {
			continue
		}
		for _, w := range unitWords() {
			if w.re.MatchString(d.Texts[i].Value) {
				if found != "" && found != w.name {
					return ""
				}
				found = w.name
			}
		}
	}
	return found
}
