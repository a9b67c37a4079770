package report

import (
	"fmt"
	"slices"
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

// cleanAccount returns a copy with its texts made safe for one line.
func cleanAccount(a *lint.Account) *lint.Account {
	c := *a
	c.ByType, c.Left = slices.Clone(a.ByType), slices.Clone(a.Left)
	for i := range c.ByType {
		c.ByType[i].Type = clean(c.ByType[i].Type)
	}
	for i := range c.Left {
		c.Left[i].Type, c.Left[i].Why = clean(c.Left[i].Type), clean(c.Left[i].Why)
	}
	return &c
}
