package report

import (
	"bufio"
	"fmt"
	"io"
	"math"

	"sluice/lint/cutting"
	"sluice/lint/job"
)

// edgeSource is where the numbers of edges come from.
const edgeSource = "The speed equation numbers edges from 1 to 5, and the time of a cut goes with that number to the power of 1.15 " +
	"(from memory of J. Zeng and T. J. Kim, Proc. 7th American Water Jet Conference, 1993, 175-189). Corners are cut up to two steps finer. " +
	"What a machine leaves at a number differs: cut a trial, and write what was measured into the job file ([jet] speed_at)."

// ExplainEdges tells what the words for edges mean, how they are numbered in the
// speed equation, and what each costs in time.
func ExplainEdges(to io.Writer) error {
	w := bufio.NewWriter(to)
	fmt.Fprintf(w, "edge: how smooth a cut is to be ([jet] edge, --edge)\n\n")
	j := job.Default()
	jet := cutting.Jet{Pressure: j.Jet.Pressure, Orifice: j.Jet.Orifice, MixingTube: j.Jet.MixingTube, Abrasive: j.Jet.Abrasive}
	plain := jet.Speed(1, 10, 3)
	for i := range job.Edges {
		e := &job.Edges[i]
		time := plain / jet.Speed(1, 10, float64(i+1))
		Hang(w, fmt.Sprintf("  %-8s %d  %4.2f times the time of plain  ", e.Word, i+1, math.Round(time*100)/100), e.About)
	}
	fmt.Fprintln(w)
	Hang(w, "  source  ", edgeSource)
	return w.Flush()
}
