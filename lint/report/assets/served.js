
// Served is how a page that the program serves talks to it.
class Served {
  constructor() {
    this.words = {
      write: 'Write', again: 'Write again', rest: 'Write puts the corrected drawing and its report in place.', picked: 'Write puts the drawing as taken in place.',
      lost: 'The program has ended. Nothing is lost: start it again and open the address that it prints.',
    };
  }

  // ask sends a request; without a body it changes nothing. What comes back has a value
  // if it was done, else a text. It fails if nobody answers.
  async ask(what, body) {
    const r = await fetch(what, body === undefined ? {} : {method: 'POST', headers: {'Content-Type': 'application/json'}, body: JSON.stringify(body)});
    if (!r.ok) return {status: r.status, text: await r.text()};
    return {status: r.status, value: r.status === 204 ? {} : await r.json()};
  }

  // follow hears of changes, made here or in another window.
  follow(hears) {
    const events = new EventSource('events');
    events.onmessage = e => hears.changed(+e.data);
    events.addEventListener('laid', e => hears.laid(+e.data));
    events.onerror = () => { if (events.readyState === EventSource.CLOSED) hears.lost(); else hears.doubt(); };
    events.addEventListener('end', () => { events.close(); hears.lost(); });
  }
}

new Desk(new Served());
