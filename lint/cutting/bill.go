package cutting

import "sluice/lint/job"

// Amounts are what a bill is made of.
type Amounts struct {
	Sheets   float64 // sheets paid for, parts of one counted
	Machine  float64 // s
	Abrasive float64 // kg
	Labour   float64 // s
}

// Bill is the money, by line; a line whose price is unset is 0.
type Bill struct {
	Sheet, Machine, Abrasive, Labour float64
}

// Total returns the sum of the lines.
func (b Bill) Total() float64 { return b.Sheet + b.Machine + b.Abrasive + b.Labour }

// BillOf prices amounts: sheet share + machine time + abrasive + labour, which is
// how shops reckon (common practice).
func BillOf(a Amounts, c job.Cost) Bill {
	return Bill{
		Sheet:    a.Sheets * c.SheetPrice,
		Machine:  a.Machine / 3600 * c.MachineRate,
		Abrasive: a.Abrasive * c.AbrasivePrice,
		Labour:   a.Labour / 3600 * c.LabourRate,
	}
}
