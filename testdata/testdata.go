// Package testdata holds the two small drawings of each rule: one with its flaw,
// and a near miss that passes. The tests of the rules judge them, and explain
// draws them, so that what people are shown is what the program does.
package testdata

import "embed"

// Rules has rules/ID/flaw.dxf, near.dxf and, where the rule needs settings,
// job.toml.
//
//go:embed rules/*/flaw.dxf rules/*/near.dxf rules/*/job.toml
var Rules embed.FS
