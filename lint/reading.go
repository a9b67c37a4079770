package lint

import (
	"sluice/geom/dxf"
	"sluice/lint/job"
)

// UnitKey is what a doubt of the unit is known by.
const UnitKey = "unit"

// HiddenKey returns what content of one type on one layer is known by that is not to
// be seen.
func HiddenKey(typ, layer string) string { return "hidden|" + typ + "|" + layer }

// LayerKey returns what a layer is known by that a pattern of the job takes from the cut.
func LayerKey(layer, by string) string { return "layer|" + by + "|" + layer }

// unitAnswer returns what a person says of a unit in doubt, "" where nobody does or
// what is assumed is accepted.
func unitAnswer(a *job.Answers) string {
	if c := a.Choice(KeyID("unit-doubt", UnitKey)); c != job.Leave {
		return c
	}
	return ""
}

// shown returns which content is read though it is not to be seen, since a person
// says so; nil: none.
func shown(a *job.Answers) func(dxf.Hidden) bool {
	if a == nil || len(a.List) == 0 {
		return nil
	}
	return func(h dxf.Hidden) bool { return a.Choice(KeyID("unread-entity", HiddenKey(h.Type, h.Layer))) == "use" }
}
