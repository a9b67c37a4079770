
// The page on which findings are settled. It shows what the program says of the desk;
// every answer goes to the program first, which keeps it before it counts.

const $ = id => document.getElementById(id);

// make builds an element; text never becomes markup.
function make(name, attrs, ...kids) {
  const e = document.createElement(name);
  for (const k in attrs) {
    if (k === 'class') e.className = attrs[k];
    else if (k.startsWith('on')) e.addEventListener(k.slice(2), attrs[k]);
    else if (attrs[k] === true) e.setAttribute(k, '');
    else if (attrs[k] !== false && attrs[k] != null) e.setAttribute(k, attrs[k]);
  }
  for (const kid of kids) if (kid != null) e.append(kid);
  return e;
}

// A desk talks to the program through a line: Served or Held.
class Desk {
  constructor(line) {
    this.line = line;
    this.file = $('file');
    this.board = new Board(this.file);
    this.board.onPick = (at, target) => this.pick(at, target);
    this.drawn = this.board.svg.querySelector('.drawn');
    this.ghost = this.board.svg.querySelector('.ghost');
    this.state = null;
    this.round = -1;      // of the picture that is shown
    this.at = new Map();  // by group: which of its questions is shown
    this.all = new Set(); // groups that are answered as one
    this.open = new Map();
    this.current = null;  // key of the group that has the eye
    this.seen = new Map();
    this.shown = {};      // by place of the page, what is there
    this.sending = 0;
    this.left = 0;        // asked when the drawing was repaired last
    this.grips = new Grips(this);
    this.lay = new Lay(this);
    this.schedule = new Schedule(this);
    this.listen();
    this.follow();
    this.refresh();
  }

  // ask sends a request to the program; what it refuses is shown.
  async ask(what, body) {
    let r;
    try {
      r = await this.line.ask(what, body);
    } catch {
      this.lost();
      return null;
    }
    if (r.value) return r.value;
    const told = (r.text || '').trim();
    if (r.status === 409 && what === 'write') { this.askReplace(told); return null; }
    this.say(told || `The program refused this (${r.status}).`);
    return null;
  }

  // anew starts over with another drawing on the desk.
  anew() {
    clearInterval(this.ticking);
    this.state = null;
    this.round = -1;
    this.left = 0;
    this.shown = {};
    for (const m of [this.at, this.all, this.open, this.seen]) m.clear();
    this.say('');
    return this.refresh();
  }

  say(text, good) {
    const a = $('alert');
    a.textContent = text;
    a.classList.toggle('good', !!good);
    a.hidden = !text;
  }

  lost() { this.gone = true; this.say(this.line.words.lost); }

  // follow hears of changes, made here or in another window.
  follow() {
    this.line.follow({
      changed: version => {
        if (this.gone) { this.gone = false; this.say(''); }
        if (!this.state || version !== this.state.version) this.refresh();
      },
      laid: version => this.lay.heard(version),
      doubt: () => this.refresh(), // which tells whether the program is there
      lost: () => this.lost(),
    });
  }

  // refresh shows the present state; whoever waits for it waits until that is shown.
  refresh() {
    this.stale = true;
    return this.fetching ||= this.load().finally(() => { this.fetching = null; if (this.stale) this.refresh(); });
  }

  async load() {
    while (this.stale) {
      this.stale = false;
      const s = await this.ask('state');
      if (!s) { this.stale = false; break; }
      if (s.round !== this.round && s.round > 0 && !s.error) {
        const b = await this.ask(`picture?round=${s.round}`);
        if (b && b.round === s.round) this.picture(b); else if (b) { this.stale = true; continue; }
      }
      this.state = s;
      this.render();
      const rests = s.round > 0 && !s.busy && !s.partial;
      if (rests && s.asked === 0 && this.left > 0) { this.board.forget(); this.board.fit(); } // all of it is settled
      if (rests) this.left = s.asked;
    }
  }

  // picture shows the drawing of another round; the eye stays where it was.
  picture(b) {
    const was = this.round > 0, v = this.board.view;
    this.round = b.round;
    this.drawn.innerHTML = b.picture; // numbers and escaped text, made by the program
    const box = s => { const [x, y, w, h] = s.split(' ').map(Number); return {x, y, w, h}; };
    const dx = this.board.ox - b.ox, dy = b.oy - this.board.oy;
    this.board.parts = box(b.view);
    this.board.whole = box(b.sheet);
    this.board.ox = +b.ox;
    this.board.oy = +b.oy;
    this.board.heavy = b.pieces > 3000;
    this.board.el.style.setProperty('--shape', Math.min(Math.max(b.shape, 1), 2.2));
    this.board.marks = [...this.drawn.querySelectorAll('.mark:not(.many)')];
    this.board.drawn = null;
    this.board.forget();
    this.show(null);
    this.grips.set(b.grips);
    this.seen.clear();
    if (was && v) this.board.view = {x: v.x + dx, y: v.y + dy, s: v.s};
    else this.board.view = null;
    this.board.resize();
    for (const id of ['before', 'both']) document.querySelector(`.switch input[value=${id}]`).disabled = !this.drawn.querySelector('.side.before');
  }

  key(g) { return g.key; }

  render() {
    const s = this.state;
    const bill = $('bill');
    bill.replaceChildren(...s.bill.map(f => make('div', {}, make('dt', {}, f.name), make('dd', {}, f.value))));
    const n = s.asked, c = $('count');
    c.className = `stamp ${s.error ? 'error' : n ? s.groups[0].severity : ''}`;
    c.lastElementChild.textContent = s.round < 1 ? 'Reading the drawing …' : s.error ? 'Cannot be read' : n ? `${n} to decide` : s.partial ? 'Looking for more …' : 'Nothing is left to decide';
    this.say2(s);
    if (s.picked) {
      const words = document.querySelectorAll('.switch label span');
      words[0].textContent = 'Earlier';
      words[1].textContent = 'As taken';
    }
    for (const [id, word, about] of [['undo', 'Undo', s.undo], ['redo', 'Redo', s.redo]]) {
      const b = $(id);
      b.disabled = !about;
      b.title = about ? `${word}: ${about}` : '';
    }
    this.lay.offered(s.lays && !s.picked);
    this.writing();
    const stand = $('stand');
    stand.hidden = !(s.stand || s.mended || s.held);
    stand.firstElementChild.textContent = [s.stand, s.mended && `Mended: ${s.mended}.`, s.held && `${s.held}.`].filter(Boolean).join(' ');
    if (this.news('cards', [s.groups, s.asked, s.changed, s.round])) this.cards();
    if (this.news('answered', [s.answered, s.refused, s.stale])) this.answered();
    if (this.news('parts', [s.parts, s.picked])) this.schedule.show();
    this.busy();
  }

  // writing says whether what is shown can be written.
  writing() {
    const s = this.state, on = this.lay.on, w = this.line.words;
    if (!s) return;
    $('write').disabled = s.busy || s.partial || !!s.error || s.round < 1 || on && !this.lay.whole();
    $('write').textContent = on ? `${this.lay.laid && this.lay.laid.written ? w.again : w.write}: sheets` : s.written ? w.again : w.write;
  }

  // news reports whether what is to be shown is not what was shown last.
  news(what, is) {
    const now = JSON.stringify(is), was = this.shown[what];
    this.shown[what] = now;
    return now !== was;
  }

  say2(s) {
    if (s.error) { this.say(s.error); this.errorShown = true; } else if (this.errorShown) { this.say(''); this.errorShown = false; }
  }

  // busy counts the seconds that a repair has taken so far.
  busy() {
    const b = $('busy'), on = this.state.busy || this.state.partial || this.sending > 0;
    clearInterval(this.ticking);
    document.body.classList.toggle('working', on);
    if (!on) { b.hidden = true; this.since = 0; return; }
    this.since ||= Date.now();
    const tell = () => {
      const t = (Date.now() - this.since) / 1000;
      b.hidden = t < .25;
      b.lastElementChild.textContent = this.state.round < 1 ? 'Reading the drawing' : t < 2 ? 'Repairing the drawing anew' : `Repairing the drawing anew, ${Math.floor(t)} s; you can go on`;
    };
    tell();
    this.ticking = setInterval(tell, 200);
  }

  // cards shows what is asked, a card for each group.
  cards() {
    const s = this.state, host = document.querySelector('#asked .cards');
    const focus = document.activeElement && host.contains(document.activeElement) ? document.activeElement.dataset.focus : null;
    document.querySelector('#asked h2 .n').textContent = s.asked;
    const since = document.querySelector('#asked .since');
    since.hidden = !s.changed;
    since.replaceChildren(s.changed ? `The last answer: ${s.changed.toLowerCase()}.` : '',
      s.gone || s.new ? make('button', {type: 'button', onclick: () => this.show({gone: s.gone, new: s.new})}, 'Show') : '');
    const groups = s.groups.map(g => ({...g, key: this.key(g)}));
    this.groups = groups;
    if (!groups.some(g => g.key === this.current)) this.current = groups.length ? groups[Math.min(Math.max(this.index || 0, 0), groups.length - 1)].key : null;
    this.index = groups.findIndex(g => g.key === this.current);
    host.replaceChildren(...groups.map(g => this.card(g)));
    if (!groups.length) host.append(make('p', {class: 'none'}, s.round < 1 ? 'Reading the drawing …' : `Nothing. ${s.picked ? this.line.words.picked : this.line.words.rest}`));
    if (focus) {
      const again = host.querySelector(`[data-focus="${CSS.escape(focus)}"]`) || host.querySelector('.card.now summary');
      if (again) again.focus({preventScroll: true}); else $('asked').focus({preventScroll: true});
    }
  }

  item(g) {
    const i = Math.min(this.at.get(g.key) || 0, g.items.length - 1);
    return [g.items[i], i];
  }

  card(g) {
    const [it, i] = this.item(g);
    const open = this.open.has(g.key) ? this.open.get(g.key) : g.severity !== 'note' || this.groups.length < 6 || g.key === this.current;
    const card = make('details', {class: `card ${g.severity}${g.key === this.current ? ' now' : ''}`, open});
    card.addEventListener('toggle', () => this.open.set(g.key, card.open));
    card.append(make('summary', {'data-focus': `${g.key}/head`}, make('span', {class: 'sign', 'aria-hidden': 'true'}), make('span', {class: 'hush'}, `${g.severity}: `),
      make('span', {class: 'name'}, g.title || g.rule), make('span', {class: 'n'}, g.count)));
    if (g.why) card.append(make('p', {class: 'why'}, g.why));
    card.append(make('button', {type: 'button', class: 'place', id: `q-${it.id}`, 'data-focus': `${g.key}/place`, onclick: () => this.look(g, it, true)},
      make('span', {}, it.text), make('span', {class: 'm'}, it.meta)));
    if (g.count > 1) {
      const step = d => { this.at.set(g.key, (i + d + g.items.length) % g.items.length); this.current = g.key; this.cards(); const now = this.groups.find(x => x.key === g.key); this.look(now, this.item(now)[0]); };
      const box = make('input', {type: 'checkbox', checked: this.all.has(g.key), 'data-focus': `${g.key}/all`, onchange: e => { if (e.target.checked) this.all.add(g.key); else this.all.delete(g.key); }});
      card.append(make('div', {class: 'pager'}, make('button', {type: 'button', 'data-focus': `${g.key}/back`, 'aria-label': 'The one before', onclick: () => step(-1)}, '‹'),
        make('span', {}, `${i + 1} of ${g.count}`), make('button', {type: 'button', 'data-focus': `${g.key}/on`, 'aria-label': 'The next one', onclick: () => step(1)}, '›'),
        make('label', {}, box, `The same for all ${g.count}`)));
    }
    const list = make('ol', {class: 'choices'});
    it.choices.forEach((c, k) => list.append(make('li', {}, this.choice(g, it, c, k))));
    card.append(list);
    return card;
  }

  choice(g, it, c, k) {
    const b = make('button', {type: 'button', 'data-focus': `${g.key}/${c.name}`, 'data-choice': c.name},
      make('span', {class: 'k', 'aria-hidden': 'true'}, k + 1), make('span', {class: 'w'}, c.words), make('span', {class: 'c'}, c.name));
    const preview = () => { if (c.shows) this.preview(it, c); else this.show(null); };
    b.addEventListener('pointerenter', e => { if (e.pointerType !== 'touch') preview(); });
    b.addEventListener('pointerleave', () => this.show(null));
    b.addEventListener('focus', () => { if (b.matches(':focus-visible')) preview(); });
    b.addEventListener('pointerdown', e => { b.touch = e.pointerType === 'touch'; });
    b.addEventListener('click', e => {
      if (e.detail > 1 && !b.classList.contains('armed')) return; // the second of a double click would answer the next question
      if (b.touch && c.shows && !b.classList.contains('armed')) {
        for (const x of document.querySelectorAll('.armed')) x.classList.remove('armed');
        b.classList.add('armed');
        this.look(g, it);
        this.preview(it, c);
        return;
      }
      this.take(g, it, c.name);
    });
    return b;
  }

  // preview draws what a choice would do.
  async preview(it, c) {
    const key = `${it.id} ${c.name}`;
    this.wanted = key;
    let p = this.seen.get(key);
    if (!p) {
      p = await this.ask(`preview?id=${encodeURIComponent(it.id)}&choice=${encodeURIComponent(c.name)}&round=${this.round}`);
      if (!p) return;
      this.seen.set(key, p);
    }
    if (this.wanted !== key) return;
    this.show(p);
    if (p.go) this.nearby(p.go);
  }

  // nearby brings a place into sight unless it is, at a size that can be seen.
  nearby(go) {
    const [x, y, x0, y0, x1, y1] = go.split(' ').map(Number), v = this.board.view;
    if (!v) return;
    const [px, py] = this.board.toScreen(x, y), size = Math.max(x1 - x0, y1 - y0) / v.s;
    if (px > 20 && py > 20 && px < this.board.w - 20 && py < this.board.h - 20 && size > 24 && size < 1.2 * Math.max(this.board.w, this.board.h)) return;
    this.board.fly({x: (x0 + x1) / 2, y: (y0 + y1) / 2, s: Math.max(x1 - x0, y1 - y0, 2) * 3 / Math.min(this.board.w, this.board.h)});
  }

  show(p) {
    if (!p) this.wanted = null;
    this.ghost.querySelector('.gone').setAttribute('d', p ? p.gone : '');
    this.ghost.querySelector('.new').setAttribute('d', p ? p.new : '');
  }

  look(g, it, plain) {
    this.current = g.key;
    this.index = this.groups.findIndex(x => x.key === g.key);
    for (const c of document.querySelectorAll('.card')) c.classList.remove('now');
    const b = $(`q-${it.id}`);
    if (b) b.closest('.card').classList.add('now');
    for (const m of this.drawn.querySelectorAll('.mark .hot')) m.classList.remove('hot');
    const m = this.drawn.querySelector(`.mark [data-for="q-${CSS.escape(it.id)}"]`);
    if (m) m.classList.add('hot');
    if (it.go) this.board.look(it.go, it.gauge, it.tag, false);
  }

  async take(g, it, choice) {
    const alike = g.count > 1 && this.all.has(g.key);
    const b = $(`q-${it.id}`);
    if (b) b.closest('.card').classList.add('taken');
    this.sending++;
    this.busy();
    const done = await this.ask('take', {id: it.id, alike, choice});
    if (done) { this.say(''); this.all.delete(g.key); this.walked = false; } else this.shown = {};
    this.show(null);
    await this.sent();
  }

  // sent shows what came of a request: until then the page is at work.
  async sent() {
    await Promise.all([this.refresh(), this.lay.refresh()]);
    this.sending--;
    if (this.state) this.busy();
  }

  async send(what, body) {
    this.sending++;
    this.busy();
    const done = await this.ask(what, body || {});
    if (done && done.told) this.say(done.told, true); else if (done) this.say(''); else this.shown = {}; // what was written into a field is not so
    await this.sent();
    return done;
  }

  answered() {
    const s = this.state, host = document.querySelector('#answered ol');
    const focus = document.activeElement && host.contains(document.activeElement) ? document.activeElement.dataset.focus : null;
    document.querySelector('#answered h2 .n').textContent = s.answered.length;
    host.replaceChildren(...s.answered.map(a => make('li', {}, make('span', {class: 't'}, make('b', {}, a.choice), ` ${a.text}`, a.words ? make('small', {}, a.words) : null, a.note ? make('small', {}, a.note) : null),
      make('button', {type: 'button', 'data-focus': a.id, onclick: () => this.send('forget', {ids: [a.id]})}, 'Ask again'))));
    if (!s.answered.length) host.append(make('li', {class: 'none'}, 'Nothing yet.'));
    for (const why of s.refused) host.append(make('li', {class: 'none'}, `Not done: ${why}`));
    if (s.stale.length) host.append(make('li', {class: 'none'}, `Answers that fit nothing any more: ${s.stale.join('; ')}`));
    if (focus) { const f = host.querySelector(`[data-focus="${CSS.escape(focus)}"]`) || host.querySelector('button'); if (f) f.focus(); }
  }

  // pick follows a click on the drawing to the question that is nearest.
  pick(at, target) {
    const m = target.closest && target.closest('.mark [data-for]');
    if (!m) return;
    const id = m.dataset.for.slice(2);
    for (const g of this.groups) {
      const i = g.items.findIndex(it => it.id === id);
      if (i < 0) continue;
      this.at.set(g.key, i);
      this.open.set(g.key, true);
      this.current = g.key;
      this.cards();
      this.look(g, g.items[i]);
      const card = $(`q-${id}`);
      if (card) card.closest('.card').scrollIntoView({block: 'nearest'});
      return;
    }
  }

  side() { return ['before', 'after', 'both'].find(s => this.board.el.classList.contains(`show-${s}`)); }

  setSide(side) {
    this.lay.show(side === 'laid');
    if (side !== 'laid') for (const s of ['before', 'after', 'both']) this.board.el.classList.toggle(`show-${s}`, s === side);
    for (const r of document.querySelectorAll('.switch input')) r.checked = r.value === side;
  }

  // step goes to the next question, through all of them.
  step(d) {
    if (!this.groups || !this.groups.length) return;
    let k = Math.max(0, this.groups.findIndex(g => g.key === this.current));
    const g = this.groups[k], i = (this.at.get(g.key) || 0) + d;
    if (this.walked && i >= 0 && i < g.items.length) this.at.set(g.key, i);
    else if (this.walked) {
      k = (k + d + this.groups.length) % this.groups.length;
      this.at.set(this.groups[k].key, d > 0 ? 0 : this.groups[k].items.length - 1);
    }
    this.walked = true;
    const to = this.groups[k];
    this.current = to.key;
    this.open.set(to.key, true);
    this.cards();
    const [it] = this.item(to);
    this.look(to, it);
    const b = $(`q-${it.id}`);
    b.closest('.card').scrollIntoView({block: 'nearest'});
    b.focus({preventScroll: true});
  }

  askReplace(told) {
    const r = $('replace');
    r.hidden = false;
    r.firstElementChild.textContent = told;
    r.querySelector('[data-do=replace]').focus();
  }

  listen() {
    const bar = document.querySelector('.bar');
    new ResizeObserver(() => document.documentElement.style.setProperty('--bar', `${bar.offsetHeight}px`)).observe(bar);
    $('undo').addEventListener('click', () => this.send('undo'));
    $('redo').addEventListener('click', () => this.send('redo'));
    $('write').addEventListener('click', () => this.send('write', {replace: false, sheets: this.lay.on}));
    $('replace').addEventListener('click', e => {
      const act = e.target.dataset.do;
      if (!act) return;
      $('replace').hidden = true;
      $('write').focus();
      if (act === 'replace') this.send('write', {replace: true, sheets: this.lay.on});
    });
    this.file.addEventListener('click', e => {
      const act = e.target.closest('button') && e.target.closest('button').dataset.do;
      const board = this.lay.on ? this.lay.board : this.board;
      if (act === 'fit') { board.forget(); board.fit(); }
      if (act === 'sheet') { board.forget(); if (this.lay.on) this.lay.fitSheet(); else board.fitSheet(); }
      if (act === 'in') board.zoom(1 / 1.6);
      if (act === 'out') board.zoom(1.6);
    });
    this.file.addEventListener('change', e => { if (e.target.closest('.switch')) this.setSide(e.target.value); });
    document.addEventListener('keydown', e => this.keydown(e));
  }

  keydown(e) {
    const typing = e.target.matches('input:not([type=checkbox],[type=radio]), select, textarea');
    if (typing || e.altKey) return;
    const k = e.key.toLowerCase();
    if (this.lay.key(e)) { e.preventDefault(); return; }
    if (e.ctrlKey || e.metaKey) {
      if (k === 'z' && !e.shiftKey) { e.preventDefault(); this.send('undo'); }
      if (k === 'y' || k === 'z' && e.shiftKey) { e.preventDefault(); this.send('redo'); }
      return;
    }
    const board = e.target === this.board.el;
    if (e.repeat && !'npur'.includes(k)) return; // held down, a key would answer one question after another
    if (/^[1-9]$/.test(k) && !(board && k === '9') && this.groups && this.groups.length) {
      const g = this.groups.find(x => x.key === this.current) || this.groups[0], [it] = this.item(g), c = it.choices[k - 1];
      if (c) this.take(g, it, c.name);
      return;
    }
    const act = {
      n: () => this.step(1), p: () => this.step(-1), u: () => { if (!$('undo').disabled) this.send('undo'); }, r: () => { if (!$('redo').disabled) this.send('redo'); },
      l: () => this.lay.toggle(), m: () => { if (!this.lay.on) this.grips.toggle(); }, w: () => { if (!$('write').disabled) $('write').click(); }, b: () => this.setSide(this.side() === 'after' && this.drawn.querySelector('.side.before') ? 'before' : 'after'),
      0: () => { this.board.forget(); this.board.fit(); }, 9: () => { this.board.forget(); this.board.fitSheet(); },
      a: () => { if (this.current) { if (this.all.has(this.current)) this.all.delete(this.current); else this.all.add(this.current); this.cards(); } },
      escape: () => { this.show(null); this.board.forget(); if (!$('replace').hidden) { $('replace').hidden = true; $('write').focus(); } },
    }[k];
    if (act) { e.preventDefault(); act(); }
  }
}
