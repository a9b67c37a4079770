package rules

import (
	"sluice/fix/tab"
	"sluice/lint/job"
)

// TableOf returns the slats of a job.
func TableOf(j *job.Job) tab.Support {
	return tab.Support{Pitch: j.Table.SlatPitch, AlongX: j.Table.SlatsAlong != "y"}
}
