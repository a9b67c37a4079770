// Package wholefile writes files that appear whole or not at all, whatever happens
// to the program or the machine while they are written: beside their place first,
// then in one step there. It is the same on every system.
package wholefile

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Unplaced is a pattern of the names that files have before they are in place; one
// is left over only if the program was killed.
const Unplaced = ".new-*"

// Pending is a file that is not in its place yet.
type Pending struct {
	path string
	file *os.File
	done bool // closed
	gone bool // in place, or taken away
}

// Begin starts a file beside its place.
func Begin(path string) (*Pending, error) {
	dir := filepath.Dir(path)
	for range 100 {
		var b [8]byte
		if _, err := rand.Read(b[:]); err != nil {
			return nil, err
		}
		// Made as any file is, so that it gets the permissions of any file.
		f, err := os.OpenFile(filepath.Join(dir, Unplaced[:len(Unplaced)-1]+hex.EncodeToString(b[:])), os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
		if err == nil {
			return &Pending{path: path, file: f}, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
	}
	return nil, fs.ErrExist
}

// Write adds to the file.
func (p *Pending) Write(data []byte) (int, error) { return p.file.Write(data) }

// Finish brings what was written to the disk, and tells what would keep the file from
// its place. Nothing stands there yet.
func (p *Pending) Finish() error {
	err := p.file.Sync()
	p.done = true
	if err = errors.Join(err, p.file.Close()); err != nil {
		return err
	}
	return replaceable(p.path)
}

// Place puts a finished file in its place, in one step, over what is there.
func (p *Pending) Place() error {
	if !p.done {
		if err := p.Finish(); err != nil {
			return err
		}
	}
	if err := replace(p.file.Name(), p.path); err != nil {
		return err
	}
	p.gone = true
	return nil
}

// Drop takes away a file that was not put in place; one that was is left alone.
func (p *Pending) Drop() {
	if p.gone {
		return
	}
	if !p.done {
		_ = p.file.Close()
	}
	p.done, p.gone = true, true
	_ = os.Remove(p.file.Name())
}

// WriteQuick writes a file without waiting for the disk. After a loss of power it may be
// there and damaged: it is for what is checked when it is read.
func WriteQuick(path string, data ...[]byte) error {
	p, err := Begin(path)
	if err != nil {
		return err
	}
	defer p.Drop()
	for _, d := range data {
		if _, err := p.Write(d); err != nil {
			return err
		}
	}
	p.done = true
	if err := p.file.Close(); err != nil {
		return err
	}
	return p.Place()
}
