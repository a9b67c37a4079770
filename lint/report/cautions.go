package report

// cautions stand at the end of every report that may go to the machine. They
// are general shop knowledge in our own words, not drawn from one document.
var cautions = []string{
	"This report judges lines on a drawing. It knows nothing of the stock on the table, the state of the machine or the load the part will carry; the person at the machine decides.",
	"The stream cuts flesh and bone and can drive water and grit under the skin through a mark too small to notice. Any injury by the jet is a surgical emergency: say at once that it was high-pressure water.",
	"Keep hands and arms out of the cutting area, above and below the sheet, while the pump can build pressure. Release the pressure and lock the machine out before touching the head or freeing a part.",
	"Small parts can tip, be thrown, or drop between the slats. Tabs hold a part only until the stream or a hand breaks them; watch the first of every kind.",
	"Edges come off the table sharp, with a burr on the exit side. Deburr before handling, and wear cut-resistant gloves only when the machine stands still.",
	"A jet above water is loud enough to harm hearing. Cut under water where the machine allows it and wear hearing and eye protection.",
	"Spent abrasive and sludge hold metal fines and dry to a dust that must not be breathed. Keep them wet, never sweep them dry, and dispose of them by local rules. Fine aluminium can burn, and damp fines give off hydrogen.",
	"Tempered glass bursts, laminates part, and hollow or sealed stock throws the stream back. Find out what the sheet is before piercing it.",
	"Sheets are heavy and their edges cut. Lift with two people or a lifter.",
	"Cut one part first and measure it: kerf, taper and fit depend on the nozzle, the stock and the speed of the day.",
}

// deference says who has the last word.
const deference = "Local codes, the machine's own instructions and the rules of the shop come before anything said here. " +
	"Where a part bears load, holds pressure, lifts, or keeps people safe, have it judged by someone licensed to do so."
