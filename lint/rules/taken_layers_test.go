package rules

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint"
	"sluice/lint/job"
)

// layered is a file of a plate and, on a layer, what body draws; "@" in it is that
// layer.
func layered(layer, table, blocks, body string) string {
	groups := func(s string) string {
		return strings.ReplaceAll(strings.Join(strings.Fields(s), "\n"), "@", layer) + "\n"
	}
	section := func(name, s string) string {
		if s == "" {
			return ""
		}
		return "0\nSECTION\n2\n" + name + "\n" + groups(s) + "0\nENDSEC\n"
	}
	return section("HEADER", "9 $INSUNITS 70 4") + section("TABLES", table) + section("BLOCKS", blocks) +
		section("ENTITIES", "0 LWPOLYLINE 8 0 90 4 70 1 10 10 20 10 10 150 20 10 10 150 20 130 10 10 20 130 "+body) + "0\nEOF\n"
}

// takenOf lists what is told of layers.
func takenOf(t *testing.T, file string, j *job.Job) []string {
	t.Helper()
	res := lint.Check(t.Context(), "x", strings.NewReader(file), j, lint.Options{Rules: All()})
	if res.Err != nil {
		t.Fatal(res.Err)
	}
	var told []string
	for i := range res.Findings {
		if f := &res.Findings[i]; f.Rule == "unread-entity" {
			told = append(told, f.Severity.String()+" "+f.Message)
		}
	}
	if !res.Account.Balanced() {
		t.Errorf("account %+v", res.Account)
	}
	return told
}

func TestTakenLayers(t *testing.T) {
	const (
		circle = "0 CIRCLE 8 @ 10 50 20 50 40 12 "
		open   = "0 LINE 8 @ 10 90 20 50 11 120 21 50 0 LINE 8 @ 10 120 20 50 11 120 21 80 "
		ring   = open + "0 ARC 8 @ 10 90 20 80 40 30 50 270 51 360 "                        // from 90,50 to 120,80
		cross  = "0 LINE 8 @ 10 90 20 50 11 120 21 80 0 LINE 8 @ 10 120 20 50 11 90 21 80 " // meets nothing at its ends
		speck  = "0 POINT 8 @ 10 50 20 50 0 LINE 8 @ 10 30 20 30 11 30 21 30 "
	)
	one := func(role, why string) string {
		return `warning layer "@": 1 entity with 1 closed outline ` + role + ", " + why
	}
	for _, c := range []struct {
		name, layer, table, blocks, body string
		set                              func(l *job.Layers)
		want                             string
	}{
		{name: "cut", layer: "Sketch", body: circle},
		{name: "etched", layer: "EtchSide", body: circle, want: one("taken for marks", `for the word "etch" in its name`)},
		{name: "open", layer: "bend_1", body: open, want: `note layer "@": 2 entities taken for marks, for the word "bend" in its name`},
		{name: "ring", layer: "Bend-1", body: ring, want: `warning layer "@": 3 entities with 1 closed outline taken for marks, for the word "bend" in its name`},
		{name: "cross", layer: "FOLD", body: cross, want: `note layer "@": 2 entities taken for marks, for the word "fold" in its name`},
		{name: "speck", layer: "score", body: speck, want: `note layer "@": 1 entity taken for marks, for the word "score" in its name`},
		{name: "left out", layer: "DIMS", body: open, want: `note layer "@": 2 entities left out, for the word "dim" in its name`},
		{name: "escaped", layer: `\U+0045TCH`, body: circle, want: strings.ReplaceAll(one("taken for marks", `for the word "etch" in its name`), "@", "ETCH")},
		{name: "never plotted", layer: "Defpoints", body: circle, want: one("left out", "since it never plots")},
		{name: "set not to plot", layer: "aid", table: "0 LAYER 2 @ 70 0 62 7 290 0", body: circle, want: one("left out", "since it never plots")},
		{name: "through a block", layer: "Etch", blocks: "0 BLOCK 2 L 10 0 20 0 0 CIRCLE 8 0 10 50 20 50 40 12 0 ENDBLK", body: "0 INSERT 8 @ 2 L 10 0 20 0",
			want: one("taken for marks", `for the word "etch" in its name`)},
		{name: "on another layer in a block", layer: "Etch", blocks: "0 BLOCK 2 L 10 0 20 0 0 CIRCLE 8 B 10 50 20 50 40 12 0 ENDBLK", body: "0 INSERT 8 @ 2 L 10 0 20 0"},
		{name: "asked for by name", layer: "logo", body: circle, set: func(l *job.Layers) { l.Etch = []string{"logo"} },
			want: `note layer "@": 1 entity with 1 closed outline taken for marks, as [layers] says ("logo")`},
		{name: "asked for by colour", layer: "logo", body: "0 CIRCLE 8 @ 62 3 10 50 20 50 40 12 " + open, set: func(l *job.Layers) { l.Ignore = []string{"color:3"} },
			want: `note layer "@": 1 entity with 1 closed outline left out, as [layers] says ("color:3")`},
		{name: "cut though never plotted", layer: "DEFPOINTS", body: circle, set: func(l *job.Layers) { l.Ignore = nil },
			want: one("cut", "though it never plots: [layers] ignore is without plot:never")},
		{name: "off", layer: "etch", table: "0 LAYER 2 @ 70 0 62 -7", body: circle, want: `warning 1 CIRCLE left out: layer off (line 53)`},
	} {
		j := job.Default()
		if c.set != nil {
			c.set(&j.Layers)
		}
		var want []string
		if c.want != "" {
			want = []string{strings.ReplaceAll(c.want, "@", c.layer)}
		}
		got := takenOf(t, layered(c.layer, c.table, c.blocks, c.body), j)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}
