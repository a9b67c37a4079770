package system

import (
	"errors"
	"os"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"
)

// HungUp tells whether nothing could be written because nobody reads any more.
func HungUp(err error) bool {
	return errors.Is(err, syscall.EPIPE) || errors.Is(err, windows.ERROR_BROKEN_PIPE) || errors.Is(err, windows.ERROR_NO_DATA)
}

// TakesColors tells whether a terminal takes colours, and makes it take them. Consoles
// before Windows 10 would show the codes instead.
func TakesColors(f *os.File) bool {
	h := windows.Handle(f.Fd())
	var mode uint32
	if windows.GetConsoleMode(h, &mode) != nil {
		return false
	}
	const wanted = windows.ENABLE_PROCESSED_OUTPUT | windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING
	return mode&wanted == wanted || windows.SetConsoleMode(h, mode|wanted) == nil
}

var (
	kernel             = windows.NewLazySystemDLL("kernel32.dll")
	consoleProcessList = kernel.NewProc("GetConsoleProcessList")
	freeConsole        = kernel.NewProc("FreeConsole")
)

// AloneInConsole tells whether the program was started by a double click, or a file
// dropped on its icon, and has a console of its own, which goes away with it. A program
// without a window that starts this one gives it such a console too, but wants to read
// what it writes.
func AloneInConsole() bool {
	for _, f := range []*os.File{os.Stdin, os.Stdout, os.Stderr} {
		// Not whether it has a console's mode: Wine's has none where there is no screen.
		if kind, err := windows.GetFileType(windows.Handle(f.Fd())); err != nil || kind != windows.FILE_TYPE_CHAR {
			return false
		}
	}
	if consoleProcessList.Find() != nil {
		return false
	}
	var ids [2]uint32
	n, _, _ := consoleProcessList.Call(uintptr(unsafe.Pointer(&ids[0])), uintptr(len(ids)))
	return n == 1
}

// downloads is that folder where the system knows it.
func downloads() string {
	dir, err := windows.KnownFolderPath(windows.FOLDERID_Downloads, 0)
	if err != nil {
		return ""
	}
	return dir
}

// Show puts a line in front of a person who has no terminal.
func Show(line string) {
	text, err := windows.UTF16PtrFromString(line)
	if err != nil {
		return
	}
	title, _ := windows.UTF16PtrFromString("sluice")
	_, _ = windows.MessageBox(0, text, title, windows.MB_OK|windows.MB_SETFOREGROUND)
}

// LeaveConsole gives up the console, and with it its window where nobody else uses it.
// What is written to it from then on goes nowhere.
func LeaveConsole() {
	if freeConsole.Find() != nil {
		return
	}
	_, _, _ = freeConsole.Call()
}
