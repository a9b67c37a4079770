//go:build !windows

package system

import (
	"errors"
	"os"
	"syscall"
)

// HungUp tells whether nothing could be written because nobody reads any more.
func HungUp(err error) bool { return errors.Is(err, syscall.EPIPE) }

// TakesColors tells whether a terminal takes colours: all of them here.
func TakesColors(*os.File) bool { return true }

// AloneInConsole tells whether the program was started by a double click and has a
// console of its own: only Windows makes one.
func AloneInConsole() bool { return false }

// downloads is that folder where the system knows it.
func downloads() string { return "" }

// Show puts a line in front of a person who has no terminal: none is that here.
func Show(string) {}

// LeaveConsole gives up the console.
func LeaveConsole() {}
