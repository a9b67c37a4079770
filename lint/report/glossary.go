package report

// wordMeaning explains a word of the trade.
type wordMeaning struct{ Word, Means string }

// glossary explains the words that reports use: common ones of the trade, in our
// own words.
var glossary = []wordMeaning{
	{"Kerf", "the width that the stream takes away"},
	{"Pierce", "the hole that the stream blows to begin a cut"},
	{"Lead", "the short way from the pierce, in the waste, to the edge that is cut"},
	{"Part", "an outline that is cut all round, with the holes in it"},
	{"Part 3 (x2)", "the part numbered 3, which is drawn twice"},
	{"Slug", "the piece that falls out of a hole"},
	{"Slot", "waste with material on both sides: a long hole, a notch, the gap between two teeth; in a kit the tab of another part goes in"},
	{"Notch", "a slot open to one side"},
	{"Tab (of a joint)", "a piece that stands out of an edge and goes into a slot of another part"},
	{"Breakaway tab", "a short piece of outline left uncut, so that the part stays in the sheet until it is broken out"},
	{"Finger edge", "an edge of tabs and gaps by turns that meets another one"},
	{"Refit", "to make slots, notches, tabs and fingers suit another thickness of sheet"},
	{"Web", "the material left between two cuts"},
	{"Etch", "to mark the face of the sheet without cutting through"},
	{"Slats", "the bars of the table on which the sheet lies"},
	{"Usable sheet", "the sheet less its margin on every side"},
	{"Entity", "one thing drawn in the file: a line, an arc, a text, a block"},
}
