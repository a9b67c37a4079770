// Package session holds the desk at which a drawing is settled where there are no
// files: drawing, job and answers come as bytes, and what is to be saved goes out as
// bytes. The page that works without the program has one.
package session

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path"
	"strings"
	"sync"

	"sluice/cmd/internal/talk"
	"sluice/cmd/internal/version"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/rules"
	"sluice/lint/settle"
)

// File is a file as it is handed over.
type File struct {
	Name string
	Data []byte
}

// Setting is a setting of the job that a person gave besides the job file, such as
// "jet.kerf" and "0.9mm".
type Setting struct{ Name, Value string }

// Input is what a session starts from.
type Input struct {
	Drawing      File
	Job, Answers *File // nil: none
	Settings     []Setting
	// Under is handed on to the desk: see settle.Options.
	Under func(context.Context) context.Context
}

// largestText is how much of a job file or of answers is taken, bytes.
const largestText = 1 << 20

// Session is a drawing being settled.
type Session struct {
	*talk.Talk
	Desk *settle.Desk
	// Doubts are what of the job is likely to be a slip.
	Doubts []string

	out, report, answers string // names of what is to be saved
	about                report.About

	mu    sync.Mutex
	text  []byte // of the answers in force; nil: none
	files []File
}

// Open sets out a drawing. The desk must be run for anything to be worked out.
func Open(in *Input) (*Session, error) {
	name := path.Base(strings.ReplaceAll(in.Drawing.Name, `\`, "/"))
	stem := strings.TrimSuffix(name, path.Ext(name))
	s := &Session{out: stem + "-jet.dxf", report: stem + "-jet.html", answers: stem + ".answers.toml"}
	all := rules.All()
	texts := report.RulesOf(all)
	j, err := jobOf(in, texts)
	if err != nil {
		return nil, err
	}
	s.Doubts = j.Doubts()
	if in.Answers != nil {
		if len(in.Answers.Data) > largestText {
			return nil, fmt.Errorf("%s: is over %d kB; give the answers to this drawing", in.Answers.Name, largestText>>10)
		}
		if _, err := job.ParseAnswers(in.Answers.Data, in.Answers.Name); err != nil {
			return nil, err
		}
		s.text = in.Answers.Data
		s.answers = in.Answers.Name
	}
	s.about = report.AboutOf(version.Number, texts, j)
	s.Desk = settle.Open(in.Drawing.Data, s.text, settle.Options{
		Path: name, Answers: s.answers, Job: j, Mend: mend.Options{Options: lint.Options{Rules: all}}, Under: in.Under,
		Laying: &settle.LayingOptions{Mend: mend.Options{Options: lint.Options{Rules: all, Plain: true}}},
		Save: func(text []byte) error {
			s.mu.Lock()
			defer s.mu.Unlock()
			s.text = text
			return nil
		},
	})
	s.Talk = talk.With(s.Desk, talk.Options{About: &s.about, Write: s.write, WriteLaid: s.writeLaid})
	return s, nil
}

// jobOf returns the job of a session: of the job file, else the defaults, under the
// settings that were given.
func jobOf(in *Input, texts []report.Rule) (*job.Job, error) {
	j := job.Default()
	if in.Job != nil {
		ids := make([]string, len(texts))
		for i := range texts {
			ids[i] = texts[i].ID
		}
		if len(in.Job.Data) > largestText {
			return nil, fmt.Errorf("%s: is over %d kB; give a job file", in.Job.Name, largestText>>10)
		}
		var err error
		if j, err = job.Parse(in.Job.Data, in.Job.Name, ids); err != nil {
			return nil, err
		}
	}
	for _, s := range in.Settings {
		if err := j.Set(s.Name, s.Value); err != nil {
			_, key, _ := strings.Cut(s.Name, ".")
			return nil, fmt.Errorf("%s: %w", key, err)
		}
	}
	return j, nil
}

// write makes the files that are to be saved of a round. There is nothing that they
// could replace.
func (s *Session) write(r *settle.Round, _ bool) (string, error) {
	done := *r.Done
	done.Output = s.out
	form, ok := report.FormatOf("fix", "html")
	if !ok {
		return "", errors.New("there is no form for the report")
	}
	var page bytes.Buffer
	if err := form.Write(&page, &report.Repair{About: s.about, Repair: figures.RepairOf(&done)}); err != nil {
		return "", err
	}
	return s.offer([]File{{s.out, r.Drawing}, {s.report, page.Bytes()}}), nil
}

// offer has files ready to be saved, with the answers, and says so.
func (s *Session) offer(files []File) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.text != nil {
		files = append(files, File{s.answers, s.text})
	}
	s.files = files
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return "Ready to save: " + strings.Join(names, ", ")
}

// writeLaid makes the files of a layout: a drawing a sheet and one report.
func (s *Session) writeLaid(_ *settle.View, _ *settle.Layout, sheets []mend.SheetOut, _ bool) (string, error) {
	var files []File
	var all []*lint.Repaired
	told := sheets[0].Repaired.Layout
	for i := range sheets {
		name := s.out
		if len(sheets) > 1 {
			name = fmt.Sprintf("%s-%d.dxf", strings.TrimSuffix(s.out, ".dxf"), i+1)
		}
		sheets[i].Repaired.Output, told.Sheets[i].File = name, name
		files, all = append(files, File{name, sheets[i].Drawing}), append(all, sheets[i].Repaired)
	}
	form, ok := report.FormatOf("fix", "html")
	if !ok {
		return "", errors.New("there is no form for the report")
	}
	var page bytes.Buffer
	if err := form.Write(&page, &report.Repair{About: s.about, Repair: figures.RepairOfSheets(all)}); err != nil {
		return "", err
	}
	return s.offer(append(files, File{s.report, page.Bytes()})), nil
}

// Files returns what the last write made: the corrected drawing, its report, and the
// answers if there are any.
func (s *Session) Files() []File {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.files
}

// Answers returns the answers in force, nil without any.
func (s *Session) Answers() *File {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.text == nil {
		return nil
	}
	return &File{s.answers, s.text}
}
