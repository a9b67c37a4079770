package cutting

import (
	"fmt"

	"sluice/lint/job"
)

// notes says in words what the figures leave out and how far they carry.
func (e *Estimate) notes(g gathered, j *job.Job) {
	say := func(format string, args ...any) { e.Notes = append(e.Notes, fmt.Sprintf(format, args...)) }
	switch {
	case e.Thickness == 0:
		say("No thickness is set ([sheet] thickness), so that times, masses and costs that hang on it are left out.")
	case j.Sheet.Material == "":
		say("No material is set ([sheet] material), so that times, masses and costs that hang on it are left out.")
	case !e.Known:
		say("The material %q is not known; add it as [[material]] with its density, or name a known one.", j.Sheet.Material)
	case e.Pace.Cut == 0:
		say("No machinability is known for %s; measure a speed and put it into [jet] speed_at.", e.Material.Name)
	}
	if e.Known && e.Thickness > 0 {
		number := "no machinability number"
		if e.Material.Machinability > 0 {
			number = fmt.Sprintf("machinability number %.4g", e.Material.Machinability)
		}
		say("%s: %.4g kg/m3, %s (%s).", e.Material.Name, e.Material.Density, number, e.Material.Source)
	}
	if e.Pace.Cut > 0 {
		switch e.Pace.Basis {
		case "model":
			say("The cutting speed comes from a published model, not from this machine: cutting times may be %.0f %% shorter or %.0f %% longer. "+
				"A speed measured on the machine ([jet] speed_at) narrows that.", 100*(1-e.Pace.Low), 100*(e.Pace.High-1))
		case "measured":
			say("The cutting speed was measured at this thickness and quality; times may still be %.0f %% shorter or %.0f %% longer.", 100*(1-e.Pace.Low), 100*(e.Pace.High-1))
		default:
			say("The cutting speed is the model's, scaled to a speed measured at another thickness or quality: times may be %.0f %% shorter or %.0f %% longer.", 100*(1-e.Pace.Low), 100*(e.Pace.High-1))
		}
		if e.Thickness < 3 && e.Pace.Basis == "model" {
			say("The model was made from trials on sheet of 3 mm and more; %.3g mm lies outside it.", e.Thickness)
		}
		if e.Pace.Capped {
			say("The model promises more than the table's top speed ([jet] top_speed); that is taken instead.")
		}
		say("No formula is published for pierce times; they are taken as a choice of this program ([jet] pierce) and may be half or twice as long.")
	}
	if len(j.Sheet.Size) != 2 {
		say("No sheet size is set ([sheet] size), so that the share of the sheet is left out.")
	}
	if g.unclosed > 0 || g.open > 0 {
		say("outlines that do not close: %d; open paths: %d. They are counted as drawn. Repair the drawing first.", g.unclosed, g.open)
	}
	if g.marks > 0 {
		say("%d open paths inside parts are neither cut nor etched until someone decides; they are not counted.", g.marks)
	}
	if e.Tabs == 0 && j.Tabs.Parts != "none" {
		say("The drawing has no tabs yet; fix adds them, and with them the work to break them.")
	}
	if c := &j.Cost; c.SheetPrice == 0 || c.MachineRate == 0 || c.LabourRate == 0 || c.AbrasivePrice == 0 {
		say("Prices that are not set in [cost] count as 0.")
	}
}
