package cli

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"sync"

	"sluice/lint"
	"sluice/lint/baseline"
	"sluice/lint/figures"
	"sluice/lint/report"
)

// pages is the page of many drawings under way. The part of each is made as soon as it
// is judged and waits on the disk, so that the room needed goes by how many drawings
// are worked on at once, and not by how many there are.
type pages struct {
	page  *report.CheckPage
	known *baseline.Baseline // nil: none
	all   bool               // all that is found is accepted: the baseline is being written

	mu       sync.Mutex
	file     *os.File // the parts, in the order in which they were made
	end      int64
	parts    []*io.SectionReader // by drawing; nil: not made yet
	sections []report.Section
	err      error // the first
}

func (c *call) newPages(about report.About, inputs []input, known *baseline.Baseline) (*pages, error) {
	f, err := os.CreateTemp("", "sluice-*")
	if err != nil {
		return nil, fmt.Errorf("a page of many drawings is put together in the folder for temporary files: %w", err)
	}
	_ = os.Remove(f.Name()) // where open files can be removed, none is left over whatever happens
	return &pages{
		page: report.NewCheckPage(&about, paths(inputs)), known: known, all: c.writeBaseline,
		file: f, parts: make([]*io.SectionReader, len(inputs)), sections: make([]report.Section, len(inputs)),
	}, nil
}

// drop takes the parts away.
func (p *pages) drop() {
	p.file.Close()
	_ = os.Remove(p.file.Name())
}

// add makes the part of drawing i, and returns the result without the drawing.
func (p *pages) add(i int, r *lint.Result) *lint.Result {
	if err := p.put(i, r); err != nil {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.err == nil {
			p.err = err
		}
	}
	return lint.Shorten(r)
}

func (p *pages) put(i int, r *lint.Result) (err error) {
	defer func() {
		if x := recover(); x != nil {
			err = fmt.Errorf("%s: internal error: %v", r.Path, x)
		}
	}()
	shown := *r
	switch {
	case r.Err != nil || p.known == nil:
	case p.all:
		shown.Findings = nil
	default:
		shown.Findings = p.known.Left(r)
	}
	f := figures.FileOf(&shown)
	var b bytes.Buffer
	section, err := p.page.Section(&b, i, &f)
	if err != nil {
		return err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if _, err := p.file.WriteAt(b.Bytes(), p.end); err != nil {
		return fmt.Errorf("the folder for temporary files: %w", plainError(err))
	}
	p.parts[i], p.sections[i] = io.NewSectionReader(p.file, p.end, int64(b.Len())), section
	p.end += int64(b.Len())
	return nil
}

// whole returns the page of the drawings. Those that were not judged, since they could
// not be read, get their parts now.
func (p *pages) whole(results []*lint.Result) (io.Reader, error) {
	for i, r := range results {
		if p.parts[i] == nil && p.err == nil {
			p.add(i, r)
		}
	}
	if p.err != nil {
		return nil, p.err
	}
	var head, tail bytes.Buffer
	if err := p.page.Head(&head, figures.CheckOf(results), p.sections); err != nil {
		return nil, err
	}
	if err := p.page.Tail(&tail); err != nil {
		return nil, err
	}
	in := []io.Reader{&head}
	for _, part := range p.parts {
		in = append(in, part)
	}
	return io.MultiReader(append(in, &tail)...), nil
}

// writePages writes the page, to where the command writes.
func (c *call) writePages(p *pages, results []*lint.Result) int {
	page, err := p.whole(results)
	if err != nil {
		return c.failf("%v", err)
	}
	return c.emitFrom(page)
}
