//go:build js && wasm

// Command page is the program as it stands within a page: built for js and wasm, it
// holds the desk at which a drawing is settled and answers what the page asks of it.
// sluice page puts it into a page.
package main

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
	"strings"
	"sync"
	"syscall/js"
	"time"

	"sluice/cmd/internal/session"
	"sluice/cmd/internal/talk"
	"sluice/cmd/internal/version"
)

// held is the drawing on the desk; nil: none yet.
var (
	held *session.Session
	stop = func() {}
)

// main answers the page until it is closed. A function that the page calls tells what
// came of it by the last of its arguments, since it returns only once all work that it
// gave rise to rests.
func main() {
	js.Global().Set("sluice", map[string]any{
		"version": version.Engine,
		"open":    guarded(open),
		"ask":     guarded(ask),
		"files":   guarded(files),
		"answers": guarded(answers),
	})
	js.Global().Call("sluiceReady")
	select {}
}

// guarded makes a function of ours one that the page can call. A panic is told as a
// refusal, so that the answers given so far can still be saved.
func guarded(do func(args []js.Value, reply func(status int, value any))) js.Func {
	return js.FuncOf(func(_ js.Value, args []js.Value) any {
		last := len(args) - 1
		reply := func(status int, value any) { args[last].Invoke(status, value) }
		guardedly(reply, func() { do(args[:last], reply) })
		return nil
	})
}

func guardedly(reply func(int, any), do func()) {
	defer func() {
		if p := recover(); p != nil {
			reply(talk.Refused, fmt.Sprintf("internal error: %v", p))
		}
	}()
	do()
}

// open sets out a drawing: open({drawing, job, answers, settings, keep}, changed), where
// files are {name, data}, keep says that the answers in force stay, and changed hears
// the number of each state.
func open(args []js.Value, reply func(int, any)) {
	what, changed := args[0], args[1]
	in := session.Input{Drawing: *fileOf(what.Get("drawing")), Job: fileOf(what.Get("job")), Answers: fileOf(what.Get("answers")), Under: breathing}
	if held != nil && what.Get("keep").Truthy() {
		in.Answers = held.Answers()
	}
	settings := what.Get("settings")
	for i := range settings.Length() {
		s := settings.Index(i)
		in.Settings = append(in.Settings, session.Setting{Name: s.Index(0).String(), Value: s.Index(1).String()})
	}
	s, err := session.Open(&in)
	if err != nil {
		reply(talk.Refused, err.Error())
		return
	}
	stop()
	ctx, cancel := context.WithCancel(context.Background())
	held, stop = s, cancel
	reply(talk.Done, strings.Join(s.Doubts, "; "))
	go s.Desk.Run(ctx)
	go follow(ctx, s, changed)
}

// follow tells the page the numbers of the present state and of the layout whenever
// they change.
func follow(ctx context.Context, s *session.Session, changed js.Value) {
	for {
		version, next := s.Desk.Changed()
		laid, moved := s.Desk.LayoutChanged()
		changed.Invoke(version, laid)
		select {
		case <-next:
		case <-moved:
		case <-ctx.Done():
			return
		}
	}
}

// ask passes on a request of the page: ask(what, body), where what may have a query
// behind it and body is JSON, or null for a request that changes nothing.
func ask(args []js.Value, reply func(int, any)) {
	if held == nil {
		reply(talk.Refused, "there is no drawing yet")
		return
	}
	name, query, _ := strings.Cut(args[0].String(), "?")
	if !args[1].IsNull() {
		body := args[1].String()
		do := func() { answer(held.Order(name, strings.NewReader(body)), reply) }
		if name == "write" {
			go guardedly(reply, do) // it may take as long as a repair, and let others have their turn
		} else {
			do()
		}
		return
	}
	q, err := url.ParseQuery(query)
	if err != nil {
		reply(talk.Unread, "the request cannot be read")
		return
	}
	answer(held.Ask(name, q), reply)
}

// answer hands over what a request came to.
func answer(a talk.Answer, reply func(int, any)) {
	var b bytes.Buffer
	if a.Write != nil {
		if err := a.Write(&b); err != nil {
			reply(talk.Refused, err.Error())
			return
		}
	}
	reply(a.Status, b.String())
}

// files hands over what the last write made: [{name, data}, ...].
func files(_ []js.Value, reply func(int, any)) {
	if held == nil {
		reply(talk.Refused, "there is no drawing yet")
		return
	}
	list := []any{}
	for _, f := range held.Files() {
		list = append(list, handed(&f))
	}
	reply(talk.Done, list)
}

// answers hands over the answers in force, {name, data}, null without any, so that the
// page still has them should the program end.
func answers(_ []js.Value, reply func(int, any)) {
	if held == nil || held.Answers() == nil {
		reply(talk.Done, nil)
		return
	}
	reply(talk.Done, handed(held.Answers()))
}

// handed hands a file over to the page.
func handed(f *session.File) map[string]any {
	data := js.Global().Get("Uint8Array").New(len(f.Data))
	js.CopyBytesToJS(data, f.Data)
	return map[string]any{"name": f.Name, "data": data}
}

// fileOf takes a file over from the page; nil: there is none.
func fileOf(v js.Value) *session.File {
	if !v.Truthy() {
		return nil
	}
	data := make([]byte, v.Get("data").Length())
	js.CopyBytesToGo(data, v.Get("data"))
	return &session.File{Name: v.Get("name").String(), Data: data}
}

// turn is how long a repair works before what the page asks has a turn: there is one
// thread, and nobody else could take it from the repair.
const turn = 120 * time.Millisecond

// breath is a context under which whoever looks whether to go on lets the page have
// its turn now and then. All that works at once, a repair and the searches of a layout,
// rests while one does: only then has the page its turn.
type breath struct{ context.Context }

var rest struct {
	sync.Mutex
	last time.Time
}

func breathing(ctx context.Context) context.Context { return breath{ctx} }

// Err returns why the work is to end, nil if it is not.
func (b breath) Err() error {
	rest.Lock()
	if time.Since(rest.last) > turn {
		time.Sleep(time.Millisecond)
		rest.last = time.Now()
	}
	rest.Unlock()
	return b.Context.Err()
}
