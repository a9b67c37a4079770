
// Held is how a page that holds the program talks to it: the program runs within the
// page, in a thread of its own, so that the page goes on while a drawing is repaired.
class Held {
  constructor() {
    this.words = {
      write: 'Save', again: 'Save again', rest: 'Save the corrected drawing and its report.', picked: '',
      lost: 'The program in this page has ended; the drawing may be too large for it. Save the answers, if you gave any, by the link here; then reload the page to start anew, or use the program itself.',
    };
    this.waiting = new Map(); // by number of the request, who waits for the answer
    this.count = 0;
    this.hears = null;
    this.desk = 0;        // the number of the one that is open
    this.answers = null;  // those in force, as last heard of
    this.unsaved = false; // whether anything was decided since the drawing was saved last
    const code = new Blob([document.getElementById('worker').textContent], {type: 'text/javascript'});
    this.worker = new Worker(URL.createObjectURL(code));
    this.worker.onmessage = e => this.told(e.data);
    this.worker.onerror = e => { e.preventDefault(); this.end(); };
    this.ready = this.send('start', document.getElementById('engine').textContent);
    document.getElementById('engine').remove(); // it is large, and has been handed over
  }

  // send hands a request over and returns what comes of it: {status, value}.
  send(kind, ...args) {
    if (this.ended) return Promise.reject(new Error('ended'));
    return new Promise((done, fail) => {
      const id = ++this.count;
      this.waiting.set(id, {done, fail});
      this.worker.postMessage({id, kind, args});
    });
  }

  told(m) {
    if (m.end) { this.end(); return; }
    if (m.changed !== undefined) { if (m.desk === this.desk && this.hears) { this.hears.changed(m.changed); this.hears.laid(m.laid); } return; }
    const w = this.waiting.get(m.id);
    this.waiting.delete(m.id);
    if (w) w.done(m);
  }

  end() {
    this.ended = true;
    for (const w of this.waiting.values()) w.fail(new Error('ended'));
    this.waiting.clear();
    if (this.hears) this.hears.lost();
    if (this.answers) offer([this.answers]);
  }

  // open sets out a drawing: {drawing, job, answers, settings, keep}. What comes back
  // tells doubts, or why it cannot be.
  async open(what) {
    const start = await this.ready;
    if (start.status !== 200) return start;
    const desk = this.desk + 1;
    const r = await this.send('open', what, desk);
    if (r.status === 200) this.desk = desk;
    return r;
  }

  follow(hears) { this.hears = hears; }

  async ask(what, body) {
    const r = await this.send('ask', what, body === undefined ? null : JSON.stringify(body));
    if (r.status !== 200 && r.status !== 204) return {status: r.status, text: r.value};
    const value = r.status === 204 ? {} : JSON.parse(r.value);
    if (what === 'write') {
      const files = (await this.send('files')).value, [first, ...rest] = offer(files);
      first.click();
      value.told = `${files[0].name} is among your downloads. Save the rest too, by the links here: ${rest.map(a => a.download).join(', ')}. ${body.sheets ? value.told.split('. ').slice(1).join('. ') : ''}`.trim();
      this.unsaved = false;
    } else if (r.status === 204 && !['lay', 'halt'].includes(what)) { // something was decided, or taken back
      this.unsaved = true;
      this.answers = (await this.send('answers')).value;
    }
    return {status: 200, value};
  }
}

// offer shows links by which files are saved.
function offer(files) {
  const kinds = {dxf: ['The corrected drawing', 'image/vnd.dxf'], html: ['The report', 'text/html'], toml: ['The answers', 'application/toml']};
  const host = $('saved'), links = files.map(f => {
    const [what, type] = kinds[f.name.split('.').pop().toLowerCase()];
    return make('a', {href: URL.createObjectURL(new Blob([f.data], {type})), download: f.name}, make('b', {}, what), ` ${f.name}`);
  });
  for (const a of host.querySelectorAll('a')) URL.revokeObjectURL(a.href);
  host.querySelector('p').replaceChildren(...links);
  host.hidden = false;
  return links;
}
