package kit

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestKinds: each kind of joint has a word for one and for several.
func TestKinds(t *testing.T) {
	var got []string
	for k := range kindNames {
		got = append(got, Kind(k).String(), Kind(k).Several())
	}
	if diff := cmp.Diff([]string{"slot", "slots", "notch", "notches", "tab", "tabs", "gap", "gaps"}, got); diff != "" {
		t.Error(diff)
	}
}
