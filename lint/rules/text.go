package rules

import (
	"strconv"
	"strings"
)

// mm prints a length for a message: three decimals at most, more where the
// length is smaller than that.
func mm(v float64) string {
	prec := 3
	if v != 0 && v < 0.001 && v > -0.001 {
		return strconv.FormatFloat(v, 'g', 2, 64)
	}
	s := strconv.FormatFloat(v, 'f', prec, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
