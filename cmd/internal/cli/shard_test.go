package cli

import "testing"

func TestShards(t *testing.T) {
	all := make([]input, 23)
	for i := range all {
		all[i].path = string(rune('a' + i))
	}
	for _, of := range []int{1, 2, 8, 40} {
		seen := map[string]int{}
		for n := range of {
			mine := shard{n + 1, of}.pick(all)
			if len(mine) > len(all)/of+1 {
				t.Errorf("share %d of %d has %d of %d", n+1, of, len(mine), len(all))
			}
			for _, in := range mine {
				seen[in.path]++
			}
		}
		for _, in := range all {
			if seen[in.path] != 1 {
				t.Errorf("of %d shares %d have %s", of, seen[in.path], in.path)
			}
		}
	}
	for _, bad := range []string{"", "3", "3/", "/8", "0/8", "9/8", "-1/8", "1/0", "a/b", "1/8/2", "1/1000000"} {
		if s, err := parseShard(bad); err == nil {
			t.Errorf("%q is read as %v", bad, s)
		}
	}
}
