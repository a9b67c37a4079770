// Package cutting estimates what it takes to cut a drawing: speed, time, water,
// abrasive, mass, share of the sheet and money.
//
// It computes and does nothing else: a judged drawing and its job go in, figures
// come out. Lengths are mm, speeds mm/min, times seconds, masses kg, unless a
// name says otherwise.
//
// All of it is an estimate. The model of the speed is a regression over trials in
// a laboratory; a machine in a shop differs from it by its pump, its nozzle's age,
// its abrasive and its control. Figures that hang on it carry a range, which a
// speed measured on the machine ([jet] speed_at) narrows.
package cutting
