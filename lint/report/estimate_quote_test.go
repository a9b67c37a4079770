package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"sluice/lint/job"
)

// TestQuote: a quote has one price for what is asked, prices that fall with the
// quantity and cover the bill, no path, and no date unless it is asked for.
func TestQuote(t *testing.T) {
	e := estimated(t, func(j *job.Job) { priced(j); j.Cost.Kits, j.Cost.SetupMinutes = 3, 20 })
	e.Path = "/home/somebody/secret kits/crane.dxf"
	page := string(in(t, "estimate", "html", e))
	for _, not := range []string{"somebody", "secret", ".dxf", "2026"} {
		if strings.Contains(page, not) {
			t.Errorf("%q stands on the quote", not)
		}
	}
	e.Date = "26 November 2026"
	if dated := string(in(t, "estimate", "html", e)); !strings.Contains(dated, "26 November 2026") {
		t.Error("the date that was asked for is missing")
	}
	rows := regexp.MustCompile(`<tr><td class="num">(\d+)</td><td class="num">(\d+) EUR</td><td class="num">(\d+) EUR</td></tr>`).FindAllStringSubmatch(page, -1)
	if len(rows) != len(quantities)+1 {
		t.Fatalf("%d prices", len(rows))
	}
	last := math.Inf(1)
	for _, r := range rows {
		n, _ := strconv.ParseFloat(r[1], 64)
		each, _ := strconv.ParseFloat(r[2], 64)
		all, _ := strconv.ParseFloat(r[3], 64)
		if bill := e.Estimate.Price(n).Total(); all < bill || all > bill+n || each*n != all || each > last {
			t.Errorf("%g kits: %g each, %g together, bill %g", n, each, all, bill)
		}
		last = each
	}
	if price := regexp.MustCompile(`class="sum">(\d+) EUR`).FindStringSubmatch(page); price == nil || price[1] != rows[2][3] {
		t.Errorf("price %v, want that of 3 kits, %s", price, rows[2][3])
	}
}
