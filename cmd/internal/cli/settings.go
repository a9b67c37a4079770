package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"sluice/lint/job"
)

// largestJob is how much of a job file is read, bytes; one that is longer is
// refused by its reader.
const largestJob = 1 << 20

// jobs finds the job of each drawing. A job file is read once.
type jobs struct {
	call *call
	read map[string]readJob
}

type readJob struct {
	job *job.Job
	err error
}

// newJobs reads the job file given by --job, if there is one.
func (c *call) newJobs() (*jobs, error) {
	s := &jobs{call: c, read: map[string]readJob{}}
	if c.job == "" {
		return s, nil
	}
	if st, err := os.Stat(c.job); err == nil && st.IsDir() {
		return nil, fmt.Errorf("%s: is a folder; --job takes a file", c.job)
	}
	_, err := s.load(c.job)
	return s, err
}

// of returns the job for a drawing: of --job, else of the nearest sluice.toml,
// else the defaults; flags override it. The job must not be changed: drawings
// share it.
func (s *jobs) of(in input) (*job.Job, error) {
	path := s.call.job
	if path == "" {
		dir := "."
		if in.path != "-" {
			dir = filepath.Dir(in.path)
		}
		path, _ = job.Find(dir)
	}
	j, err := s.load(path)
	if err != nil {
		return nil, err
	}
	a, err := s.call.answersOf(in)
	if err != nil {
		return nil, err
	}
	if a == nil {
		if !j.AsksCounts() {
			return j, nil
		}
		a = job.NewAnswers("") // what cannot be done of the counts is noted there
	}
	own := *j
	own.Answers = a
	return &own, nil
}

// load reads a job file, "" for the defaults, and applies the flags.
func (s *jobs) load(path string) (*job.Job, error) {
	if r, ok := s.read[path]; ok {
		return r.job, r.err
	}
	var r readJob
	r.job, r.err = s.parse(path)
	if r.err == nil {
		r.err = s.call.override(r.job)
	}
	if r.err == nil {
		for _, doubt := range r.job.Doubts() {
			s.call.tellf("%s", doubt)
		}
	}
	s.read[path] = r
	return r.job, r.err
}

func (s *jobs) parse(path string) (*job.Job, error) {
	if path == "" {
		return job.Default(), nil
	}
	data, err := readSettings(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, plainError(err))
	}
	return job.Parse(data, path, s.call.engine.ruleIDs())
}

// readSettings reads a file that a person writes, of bounded size.
func readSettings(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, largestJob))
}

// override puts the flags' values over those of the job.
func (c *call) override(j *job.Job) error {
	for _, s := range c.sets {
		if err := j.Set(s.name, s.value); err != nil {
			return fmt.Errorf("--%s: %w", s.flag, err)
		}
		if s.name == "units" {
			j.UnitsBasis = "flag"
			if j.Units == "auto" {
				j.UnitsBasis = ""
			}
		}
	}
	return nil
}
