package cli

import (
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress shows on a terminal how far the work is. A nil one shows nothing.
type progress struct{ bar *progressbar.ProgressBar }

// newProgress returns a progress over n steps if a person is looking: standard
// error is a terminal that can go back on its line, and --quiet is not given.
func (c *call) newProgress(n int) *progress {
	f, ok := c.stderr.(*os.File)
	if !ok || n < 2 || c.quiet || os.Getenv("TERM") == "dumb" || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return &progress{progressbar.NewOptions(n,
		progressbar.OptionSetWriter(f), progressbar.OptionSetDescription(c.command.name), progressbar.OptionShowCount(),
		progressbar.OptionSetWidth(30), progressbar.OptionThrottle(80*time.Millisecond),
		progressbar.OptionSetRenderBlankState(true), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetTheme(progressbar.Theme{Saucer: "=", SaucerHead: ">", SaucerPadding: " ", BarStart: "[", BarEnd: "]"}),
	)}
}

// step tells that one more drawing is done. It may be called from any goroutine.
func (p *progress) step() {
	if p != nil {
		_ = p.bar.Add(1) // only for show
	}
}

// share tells which share of the work is done, 0 to 1.
func (p *progress) share(done float64) {
	if p != nil {
		_ = p.bar.Set(int(done * float64(p.bar.GetMax())))
	}
}

// clear empties the line, for something else to be written; the next step draws
// it anew.
func (p *progress) clear() {
	if p != nil {
		_ = p.bar.Clear()
	}
}

// end empties the line for good.
func (p *progress) end() {
	if p != nil {
		_ = p.bar.Finish()
		_ = p.bar.Clear()
	}
}
