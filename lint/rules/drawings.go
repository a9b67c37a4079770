package rules

import "embed"

// Drawings has two small drawings of each rule, flaws/ID/flaw.dxf with its flaw
// and near.dxf, a near miss that passes, and, where the rule needs settings,
// job.toml. The tests of the rules judge them, and explain draws them, so that
// what people are shown is what the program does.
//
//go:embed flaws/*/flaw.dxf flaws/*/near.dxf flaws/*/job.toml
var Drawings embed.FS
