package report

import (
	"fmt"

	"sluice/lint/figures"
)

// editWords say what an edit of a kind did: one, and several.
var editWords = map[string][2]string{
	"close-gap":        {"gap closed", "gaps closed"},
	"drop-duplicate":   {"repeated piece dropped", "repeated pieces dropped"},
	"drop-stray":       {"speck dropped", "specks dropped"},
	"drop-mark":        {"open line dropped", "open lines dropped"},
	"refit-arc":        {"run of short lines made an arc", "runs of short lines made arcs"},
	"refit-curve":      {"curve drawn as lines and arcs", "curves drawn as lines and arcs"},
	"flatten":          {"piece laid flat", "pieces laid flat"},
	"widen-slot":       {"slot widened", "slots widened"},
	"drop-slot":        {"notch closed", "notches closed"},
	"etch-slot":        {"slot etched", "slots etched"},
	"relieve-corner":   {"corner relieved", "corners relieved"},
	"etch-mark":        {"open line etched", "open lines etched"},
	"note-mark":        {"open line kept uncut", "open lines kept uncut"},
	"cut-mark":         {"open line cut", "open lines cut"},
	"etch-drill-mark":  {"hole marked for drilling", "holes marked for drilling"},
	"etch-text":        {"text etched", "texts etched"},
	"tab":              {"tab set", "tabs set"},
	"untab":            {"tab closed again", "tabs closed again"},
	"name":             {"part named on NOTE", "parts named on NOTE"},
	"label":            {"number etched", "numbers etched"},
	"refit-slots":      {"outline refitted to the sheet", "outlines refitted to the sheet"},
	"drop-outline":     {"outline left out", "outlines left out"},
	"drop-part":        {"part left out", "parts left out"},
	"drop-text":        {"text left out", "texts left out"},
	"unite-outlines":   {"pair of outlines united", "pairs of outlines united"},
	"subtract-outline": {"outline taken from another", "outlines taken from others"},
	"keep-copy":        {"part drawn twice kept twice", "parts drawn twice kept twice"},
	"add-copy":         {"copy of a part added", "copies of parts added"},
	"make-part":        {"plate added for a joint", "plates added for joints"},
	"fill-notch":       {"notch closed", "notches closed"},
	"widen-hole":       {"hole widened", "holes widened"},
	"shrink-hole":      {"hole made smaller", "holes made smaller"},
	"smooth-detail":    {"detail taken out", "details taken out"},
	"cut-text":         {"text cut in stroke letters", "texts cut in stroke letters"},
	"set-aside":        {"outline kept uncut", "outlines kept uncut"},
	"etch-lettering":   {"group of letters etched", "groups of letters etched"},
	"note-slats":       {"note on the slats", "notes on the slats"},
	"lay-out":          {"part laid out", "parts laid out"},
	"scale":            {"piece scaled", "pieces scaled"},
	"spread":           {"part moved apart", "parts moved apart"},
}

// EditWords returns what one edit of a kind did, and several; ok is false for a
// kind that has no words.
func EditWords(kind string) (one, many string, ok bool) {
	w, ok := editWords[kind]
	return w[0], w[1], ok
}

// editCount says how many edits of a kind were made.
func editCount(k *figures.Kind) string {
	n := len(k.Edits)
	one, many, ok := EditWords(k.Name)
	switch {
	case !ok:
		return fmt.Sprintf("%d %s", n, clean(k.Name))
	case n == 1:
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// kindTitle is the heading of the edits of a kind.
func kindTitle(kind string) string {
	if _, many, ok := EditWords(kind); ok {
		return many
	}
	return clean(kind)
}
