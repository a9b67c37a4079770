package cli

import (
	"testing"

	"sluice/lint"
)

func TestTmp(t *testing.T) {
	s := &store{dir: t.TempDir(), largest: 1 << 20}
	r := &lint.Result{Brief: &lint.Brief{Places: map[string]lint.Place{"a": {Line: 3}}}, Findings: []lint.Finding{{Rule: "x", Measure: &lint.Measure{}}}}
	s.keep("0123456789", r)
	t.Log(s.find("0123456789"))
}
