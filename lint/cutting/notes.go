package cutting

import (
	"fmt"
	"strings"

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
	if e.Known {
		e.materialNotes(say)
	}
	if e.Length.Etch > 0 && !j.Jet.EtchAbrasive {
		say("Marks are etched with water alone ([jet] etch_abrasive) and take no abrasive.")
	}
	if e.Pace.Cut > 0 {
		e.modelNotes(j, say)
		switch e.Pace.Basis {
		case "model":
			say("The cutting speed comes from a published model, not from this machine: cutting times may be %.0f %% shorter or %.0f %% longer. "+
				"A speed measured on the machine ([jet] speed_at) narrows that.", 100*(1-e.Pace.Low), 100*(e.Pace.High-1))
		case "measured":
			say("The cutting speed was measured at this thickness and edge; times may still be %.0f %% shorter or %.0f %% longer.", 100*(1-e.Pace.Low), 100*(e.Pace.High-1))
		default:
			say("The cutting speed is the model's, scaled to a speed measured at another thickness or edge: times may be %.0f %% shorter or %.0f %% longer.", 100*(1-e.Pace.Low), 100*(e.Pace.High-1))
		}
		if e.Pace.Capped {
			say("The model promises more than the table's top speed ([jet] top_speed); that is taken instead.")
		}
		longer := "twice"
		if e.Material.Brittle {
			longer = "three times"
		}
		say("No formula is published for pierce times; they are taken as a choice of this program ([jet] pierce) and may be half or %s as long.", longer)
		say("How the head gathers speed is not reckoned beyond corners: many short moves and small holes take longer than told.")
	}
	e.planNotes(&g, say)
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

// planNotes says whether paths were planned, and what is counted without one.
func (e *Estimate) planNotes(g *gathered, say func(string, ...any)) {
	if e.Plan == nil {
		say("The drawing has more than %d lines and arcs, too many to plan their paths for an estimate: lengths are those along the outlines, with %.4g lead lengths for each start.", mostPlanned, leadShare)
		return
	}
	say("Lengths, starts and travel are those of the planned paths that fix --paths writes: half a kerf off the outlines, with leads and overlap.")
	if g.unplanned > 0 {
		n, have := "1 outline has", "it is"
		if g.unplanned > 1 {
			n, have = fmt.Sprintf("%d outlines have", g.unplanned), "they are"
		}
		say("%s no path, for want of room for the stream; %s counted along the outline.", n, have)
	}
}

// materialNotes says what is to be known of the material.
func (e *Estimate) materialNotes(say func(string, ...any)) {
	m := &e.Material
	if len(m.Ignored) > 0 {
		say("The name is taken for %s, ignoring: %s. If that is another material, add it as [[material]].", m.Name, strings.Join(m.Ignored, " "))
	}
	if m.Hazard != "" {
		say("Caution: %s.", m.Hazard)
	}
	if m.Brittle {
		say("Caution: brittle or layered sheet cracks where it is pierced at full pressure. Pierce times are reckoned for piercing at low pressure or moving, about %d times as long.", brittlePierce)
	}
}

// modelNotes says where the jet and the sheet lie outside what the speed equation
// was tried on, and what cannot be (source: see Jet.Speed).
func (e *Estimate) modelNotes(j *job.Job, say func(string, ...any)) {
	if e.Pace.Basis != "measured" {
		if e.Thickness < 3 || e.Thickness > 200 {
			say("The model was made from trials on sheet of 3 to 200 mm; %.4g mm lies outside it.", e.Thickness)
		}
		if p := j.Jet.Pressure; p < 100 || p > 400 {
			say("The model was made from trials at 100 to 400 MPa; %.4g MPa lies outside it.", p)
		}
	}
	if j.Jet.MixingTube <= j.Jet.Orifice {
		say("The mixing tube ([jet] mixing_tube, %.3g mm) is no wider than the orifice (%.3g mm): one of the two is wrong; usual is about three times.", j.Jet.MixingTube, j.Jet.Orifice)
	}
	if j.Jet.Kerf < 0.95*j.Jet.MixingTube { // the kerf is 1.0 to 1.1 times the bore (from memory)
		say("The kerf (%.3g mm) is narrower than the bore of the mixing tube (%.3g mm), out of which the stream comes: one of the two is wrong.", j.Jet.Kerf, j.Jet.MixingTube)
	}
}
