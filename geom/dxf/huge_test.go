package dxf_test

import (
	"bytes"
	"io"
	"os"
	"strconv"
	"testing"

	"sluice/geom/dxf"
	"sluice/geom/geomtest"
)

// counted passes bytes on and counts them.
type counted struct {
	io.Writer
	n int64
}

func (c *counted) Write(p []byte) (int, error) {
	n, err := c.Writer.Write(p)
	c.n += int64(n)
	return n, err
}

// TestHuge reads a drawing of 1 GB, made while it is read, so that nothing of
// the file itself is kept. It takes a minute and some GB, so it runs only where
// SLUICE_HUGE asks for it; the log tells the process's peak.
func TestHuge(t *testing.T) {
	if os.Getenv("SLUICE_HUGE") == "" {
		t.Skip("SLUICE_HUGE is not set")
	}
	const parts = 150_000
	r, w := io.Pipe()
	c := &counted{Writer: w}
	go func() { w.CloseWithError(geomtest.WriteSheet(c, parts)) }()
	d, err := dxf.Read(t.Context(), r, dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(d.Entities); n != parts*geomtest.EntitiesPerPart {
		t.Errorf("%d entities", n)
	}
	peak := peakMemory(t)
	t.Logf("%d MB: %d entities, %d strokes, peak %d MiB", c.n/1e6, len(d.Entities), len(d.Strokes), peak>>20)
	if peak > 0 && peak > 6*c.n {
		t.Errorf("peak of %d MiB for %d MB", peak>>20, c.n/1e6)
	}
}

// peakMemory returns the largest resident size of the process so far, 0 where
// the system does not tell.
func peakMemory(t *testing.T) int64 {
	t.Helper()
	data, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	_, rest, ok := bytes.Cut(data, []byte("VmHWM:"))
	if f := bytes.Fields(rest); ok && len(f) > 0 {
		kib, err := strconv.ParseInt(string(f[0]), 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		return kib << 10
	}
	return 0
}
