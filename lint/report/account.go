package report

import (
	"fmt"
	"strings"

	"sluice/lint"
)

// typesShown is how many entity types the account on one line names.
const typesShown = 12

// accountLine gives the account by type on one line: "12 LINE used, 1 IMAGE
// left out".
func accountLine(a *lint.Account) string {
	var s []string
	for i, t := range a.ByType {
		if i == typesShown {
			s = append(s, plural(len(a.ByType)-i, "more type"))
			break
		}
		typ := clean(t.Type)
		for _, f := range []struct {
			n    int
			fate string
		}{{t.Used, "used"}, {t.Carried, "carried"}, {t.Replaced, "replaced"}, {t.LeftOut, "left out"}} {
			if f.n > 0 {
				s = append(s, fmt.Sprintf("%d %s %s", f.n, typ, f.fate))
			}
		}
	}
	return strings.Join(s, ", ")
}
