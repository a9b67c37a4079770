package report

import (
	"sluice/fix/diff"
	"sluice/geom"
	"sluice/lint/figures"
)

// besideKind is the changes of one kind that are none of form.
type besideKind struct {
	key, title, about string
	told              []beside
	plain             []string // lines that name no single place
}

// beside is one such change.
type beside struct {
	diff.Where
	change    diff.Change
	what, tag string // in words, and in short
	box       geom.Box
	nth       int    // in the order of the difference, from 1
	alike, on string // what is said of all that read the same, and what it is on; "" for one that stands alone
}

// besides lists what is no change of form, by kind.
func besides(d *figures.Changes) []besideKind {
	kinds := []besideKind{
		{key: "without", title: "Not compared", about: "Shown in one of the drawings only.", plain: append(hiddenTexts(d.Diff), notedTexts(d.Diff)...)},
		{key: "repair", title: "Repairs", about: "Flaws that one of the drawings has not; no change of shape."},
		{key: "open", title: "Open cuts", about: "Cut lines that do not close."},
		{key: "tab", title: "Tabs"},
		{key: "number", title: "Numbers"},
		{key: "words", title: "Lettering", about: "Text that is not cut."},
		{key: "etch", title: "Etched lines"},
		{key: "layer", title: "Layers"},
	}
	repairs, open, tabs, numbers, words, etched, layers := &kinds[1], &kinds[2], &kinds[3], &kinds[4], &kinds[5], &kinds[6], &kinds[7]
	n := 0
	add := func(k *besideKind, b beside) {
		n++
		b.nth = n
		k.told = append(k.told, b)
	}
	came := func(c diff.Change) bool { return c == diff.Gained || c == diff.Lost }
	for i := range d.Tabs {
		c := &d.Tabs[i]
		b := beside{Where: c.Where, change: c.Change, what: tabChange(c), tag: "tab " + string(c.Change), box: geom.NoBox()}
		if came(c.Change) {
			b.alike, b.on = b.tag+" with a gap of "+figure(c.GapBefore+c.GapAfter, 3)+" mm", partNow(d, c.Where)
		}
		add(tabs, b)
	}
	for i := range d.Texts {
		c := &d.Texts[i]
		b := beside{Where: c.Where, change: c.Change, what: textChange(c), tag: textChange(c), box: geom.NoBox()}
		switch {
		case !c.Number:
			add(words, b)
			continue
		case came(c.Change):
			b.alike, b.on = "number "+string(c.Change), clean(c.Was+c.Is)
		}
		add(numbers, b)
	}
	for i := range d.Lines {
		c := &d.Lines[i]
		b := beside{Where: c.Where, change: c.Change, what: lineChange(c), box: c.Box}
		switch {
		case c.Open:
			b.tag = "open path " + string(c.Change)
			add(open, b)
		case !c.Lettering:
			b.tag = "etched " + string(c.Change)
			add(etched, b)
		}
	}
	if s := letteringChange(d); s != "" {
		etched.plain = append(etched.plain, s)
	}
	if s := repairText(d); s != "" {
		repairs.plain = append(repairs.plain, capital(s))
	}
	for i := range d.Layers {
		layers.plain = append(layers.plain, layerChange(&d.Layers[i]))
	}
	return kinds
}

// partNow returns what the part that a change is on is called, as after.
func partNow(d *figures.Changes, w diff.Where) string {
	if n := nameOf(d.After, w.After); n != "" {
		return n
	}
	return nameOf(d.Before, w.Before)
}
