package cli

import (
	"fmt"
	"strconv"
	"strings"
)

// shard is one of several equal shares of the drawings, for machines that divide
// the work. The zero shard is all of them.
type shard struct{ number, of int }

// parseShard reads "3/8".
func parseShard(s string) (shard, error) {
	a, b, ok := strings.Cut(s, "/")
	n, errN := strconv.Atoi(a)
	of, errOf := strconv.Atoi(b)
	if !ok || errN != nil || errOf != nil || of < 1 || of > 10000 || n < 1 || n > of {
		return shard{}, fmt.Errorf("%q is no share; write which and of how many, as in 3/8", s)
	}
	return shard{n, of}, nil
}

// pick returns the drawings of the share. Every n-th is taken, so that folders
// of large and of small drawings are divided alike.
func (s shard) pick(all []input) []input {
	if s.of < 2 {
		return all
	}
	var mine []input
	for i := s.number - 1; i < len(all); i += s.of {
		mine = append(mine, all[i])
	}
	return mine
}
