
// Lay is the view of the sheets on which the parts are laid out: the layout as the
// program finds it, and parts that are put by hand. It holds nothing: what is pinned is
// an answer.
class Lay {
  constructor(desk) {
    this.desk = desk;
    this.root = $('laid-view');
    this.easel = this.root.closest('.easel');
    this.board = new Board(this.root);
    this.host = this.board.svg.querySelector('.lying');
    this.on = false;
    this.laid = null;
    this.forms = {drawing: 0, forms: {}};
    this.cells = new Map(); // by part and which of it, its group
    this.current = null;    // key of the part that has the eye
    this.version = -1;
    this.board.tell = at => this.read(...this.board.toSheet(...at));
    this.listen();
    this.follow();
  }

  // offered says whether parts can be laid out at this desk.
  offered(can) { $('lays').hidden = !can; if (!can && this.on) this.desk.setSide('after'); }

  toggle() { if (!$('lays').hidden) this.desk.setSide(this.on ? 'after' : 'laid'); }

  show(on) {
    if (this.on === on) return;
    this.on = on;
    this.easel.classList.toggle('laying', on);
    const fit = this.desk.file.querySelector('[data-do=fit]');
    fit.textContent = on ? 'All sheets' : 'Parts';
    this.board.resize();
    this.desk.writing();
    if (on) this.refresh();
  }

  // whole tells whether there is a layout that can be written.
  whole() { const l = this.laid; return !!l && !l.running && !l.stale && l.sheets.length > 0; }

  heard(version) { if (version !== this.version) { this.version = version; this.refresh(); } }

  // refresh shows the layout as it stands; whoever waits for it waits until that is shown.
  refresh() {
    if (!this.on && !this.laid) return Promise.resolve();
    this.stale = true;
    return this.fetching ||= this.load().finally(() => { this.fetching = null; if (this.stale) this.refresh(); });
  }

  async load() {
    while (this.stale) {
      this.stale = false;
      const l = await this.desk.ask('laid');
      if (!l) { this.stale = false; return; }
      if (l.sheets.length && this.forms.drawing !== l.drawing) {
        const f = await this.desk.ask('forms');
        if (!f) { this.stale = false; return; }
        this.forms = f;
        if (f.drawing !== l.drawing) { this.stale = true; continue; }
        this.clear();
      }
      this.laid = l;
      this.render();
    }
  }

  clear() { this.cells.clear(); this.host.replaceChildren(); }

  render() {
    const l = this.laid, some = l.sheets.length > 0;
    $('lay').textContent = some && !l.stale ? 'Lay out anew' : 'Lay out';
    $('lay-on').disabled = !some || l.stale || l.running;
    this.stopping &&= l.running;
    $('lay-stop').disabled = !l.running || this.stopping;
    $('lay-pin').disabled = !this.whole() || l.left.length > 0 || this.all() === l.pinned;
    $('lay-free').disabled = !l.pinned;
    $('lay-time').options[0].textContent = `as the job says (${l.usual})`;
    this.progress(l);
    const stand = this.stopping ? 'Stopping; the best so far stays.' : l.error ? `${l.error}.` : !some ? (l.running ? '' : 'Nothing is laid out yet. Lay out puts the parts on the sheets of the job.')
      : l.stale ? 'The drawing has changed since: lay it out again.' : `${l.stand}.${l.pinned ? ` ${l.pinned} pinned.` : ''}`;
    if ($('lay-stand').textContent !== stand) $('lay-stand').textContent = stand;
    $('lay-stand').classList.toggle('wrong', !!l.error);
    this.board.el.classList.toggle('stale', l.stale);
    $('lay-left').hidden = !l.left.length;
    $('lay-left').replaceChildren(...l.left.map(t => make('li', {}, t)));
    $('lay-sheets').replaceChildren(...l.sheets.map(s => make('li', {}, make('b', {}, s.title), ` ${s.facts}`)));
    this.board.el.hidden = !some;
    if (some) { this.drawSheets(); this.drawParts(); }
    this.panel();
    this.desk.writing();
  }

  all() { return this.laid.sheets.reduce((n, s) => n + s.parts.length, 0); }

  progress(l) {
    $('lay-run').hidden = !l.running;
    if (!l.running) return;
    $('lay-share').value = l.share;
    $('lay-run').lastElementChild.textContent = !l.ready ? 'Repairing the drawing for it …' : `${Math.floor(100 * l.share)} % of the search`;
  }

  // columns says in how many columns sheets of a size come out largest: on a phone they are
  // below each other.
  columns(n, w, h) {
    const el = this.board.el, wide = el.clientWidth || innerWidth, high = parseFloat(getComputedStyle(el).maxHeight) || innerHeight;
    let best = 1, most = 0;
    for (let c = 1; c <= n; c++) {
      const scale = Math.min(wide / (c * w), high / (Math.ceil(n / c) * h));
      if (scale > most * (1 + 1e-9)) { best = c; most = scale; }
    }
    return best;
  }

  // drawSheets puts the sheets in rows.
  drawSheets() {
    const {sheets} = this.laid, n = sheets.length;
    const w = Math.max(...sheets.map(s => s.w)), h = Math.max(...sheets.map(s => s.h)), gap = .05 * Math.max(w, h), head = .035 * Math.max(w, h);
    const columns = this.columns(n, w + gap, h + gap + head);
    const key = JSON.stringify([columns, sheets.map(s => [s.title, s.w, s.h, s.margin, s.edge, s.clamps, s.rack])]);
    if (key === this.sheetsKey) return;
    const spread = JSON.stringify([columns, sheets.map(s => [s.w, s.h])]), moved = this.spread !== spread;
    this.sheetsKey = key;
    this.spread = spread;
    this.at = this.laid.sheets.map((s, i) => ({x: (i % columns) * (w + gap), y: Math.floor(i / columns) * (h + gap + head) + head}));
    const el = (name, attrs, text) => { const e = document.createElementNS(SVG, name); for (const k in attrs) e.setAttribute(k, attrs[k]); if (text) e.textContent = text; return e; };
    this.board.svg.querySelector('.sheets').replaceChildren(...this.laid.sheets.map((s, i) => {
      const {x, y} = this.at[i], g = el('g', {transform: `translate(${x} ${y})`}), box = (c, b) => el('rect', {class: c, x: b[0], y: s.h - b[1] - b[3], width: b[2], height: b[3]});
      g.append(el('text', {x: 0, y: -.25 * head, 'font-size': .7 * head}, s.title));
      g.append(s.edge ? el('path', {class: 'stock', d: s.edge}) : el('rect', {class: 'stock', x: 0, y: 0, width: s.w, height: s.h}));
      if (s.margin && !s.edge) g.append(el('rect', {class: 'margin', x: s.margin, y: s.margin, width: Math.max(0, s.w - 2 * s.margin), height: Math.max(0, s.h - 2 * s.margin)}));
      if (s.rack) g.append(box('rack', s.rack));
      for (const c of s.clamps) g.append(box('clamp', c));
      return g;
    }));
    const all = {x: -gap / 2, y: -gap / 2, w: Math.min(columns, n) * (w + gap), h: Math.ceil(n / columns) * (h + gap + head)};
    this.board.parts = this.board.whole = all;
    this.board.el.style.setProperty('--shape', Math.min(Math.max(all.w / all.h, .5), 2.2));
    if (moved) { this.board.view = null; this.board.resize(); }
  }

  // spot is where a place of a sheet is in the picture, and place the other way round.
  spot(sheet, x, y) { const a = this.at[sheet], s = this.laid.sheets[sheet]; return [a.x + x, a.y + s.h - y]; }

  place(px, py) {
    let best = 0, off = Infinity;
    this.laid.sheets.forEach((s, i) => {
      const a = this.at[i], d = Math.hypot(Math.max(a.x - px, 0, px - a.x - s.w), Math.max(a.y - py, 0, py - a.y - s.h));
      if (d < off) { off = d; best = i; }
    });
    const a = this.at[best], s = this.laid.sheets[best];
    return {sheet: best, x: px - a.x, y: a.y + s.h - py};
  }

  // read says where on which sheet the pointer is.
  read(px, py) {
    if (!this.at) return;
    const {sheet, x, y} = this.place(px, py);
    this.board.readout.textContent = `sheet ${sheet + 1}  x ${x.toFixed(1)}  y ${y.toFixed(1)} mm`;
  }

  key2(p) { return `${p.part}/${p.which}`; }

  drawParts() {
    const seen = new Set();
    this.laid.sheets.forEach((s, i) => s.parts.forEach(p => {
      const key = this.key2(p);
      seen.add(key);
      const g = this.cells.get(key) || this.cell(key, p);
      Object.assign(g.lies, {p, sheet: i});
      if (!this.held || this.held.g !== g) this.move(g, i, p.cx, p.cy, p.turn);
      g.classList.toggle('pinned', p.pinned);
      g.setAttribute('aria-pressed', p.pinned);
      g.setAttribute('aria-label', this.words(g));
    }));
    for (const [key, g] of this.cells) if (!seen.has(key)) { g.remove(); this.cells.delete(key); }
    if (!this.cells.has(this.current)) this.current = this.cells.size ? this.cells.keys().next().value : null;
    this.rove();
  }

  // rove lets the Tab key reach the part that has the eye.
  rove() { for (const [key, g] of this.cells) g.setAttribute('tabindex', key === this.current ? 0 : -1); }

  words(g) {
    const {p, sheet} = g.lies, f = this.forms.forms[p.form];
    return `Part ${p.part}${f && f.name ? `, ${f.name}` : ''}, sheet ${sheet + 1}, at ${(p.x - p.w / 2).toFixed(1)}, ${(p.y - p.h / 2).toFixed(1)} mm${p.turn ? `, turned by ${+p.turn.toFixed(2)}°` : ''}, pinned`.replace(/, pinned$/, p.pinned ? ', pinned' : '');
  }

  // cell draws a part once; it is only moved from then on.
  cell(key, p) {
    const f = this.forms.forms[p.form], g = document.createElementNS(SVG, 'g'), el = (name, attrs) => { const e = document.createElementNS(SVG, name); for (const k in attrs) e.setAttribute(k, attrs[k]); g.append(e); return e; };
    g.setAttribute('class', 'lie');
    g.setAttribute('role', 'button');
    g.lies = {p, key, f};
    g.form = el('path', {class: 'form', d: f.d});
    g.hatch = el('path', {class: 'hatched', d: f.d});
    if (f.size) {
      g.text = el('text', {'font-size': f.size, 'text-anchor': 'middle', 'dominant-baseline': 'central', 'aria-hidden': 'true'});
      g.text.textContent = f.text;
    }
    g.tack = el('path', {class: 'tack', d: 'M0 -3.5L3 0L0 3.5L-3 0Z'});
    this.host.append(g);
    this.cells.set(key, g);
    this.handle(g);
    return g;
  }

  // move shows a part with the middle of its form at a place of a sheet.
  move(g, sheet, cx, cy, turn) {
    const [x, y] = this.spot(sheet, cx, cy), f = g.lies.f, t = turn * Math.PI / 180, c = Math.cos(t), s = Math.sin(t);
    const lx = f.x * c + f.y * s, ly = f.y * c - f.x * s, size = (f.size || 4) / 6;
    g.setAttribute('transform', `translate(${x.toFixed(4)} ${y.toFixed(4)})`);
    for (const e of [g.form, g.hatch]) e.setAttribute('transform', `rotate(${-turn})`);
    if (g.text) { g.text.setAttribute('x', lx); g.text.setAttribute('y', ly); }
    g.tack.setAttribute('transform', `translate(${lx} ${ly - 7.5 * size}) scale(${size})`);
  }

  // panel says what is known of the part that has the eye.
  panel() {
    const g = this.cells.get(this.current), box = $('lay-part');
    box.hidden = !g || !this.laid.sheets.length || this.laid.stale;
    if (box.hidden) return;
    const t = this.words(g);
    if (box.firstElementChild.textContent !== t) box.firstElementChild.textContent = t;
    box.querySelector('[data-lay=pin]').textContent = g.lies.p.pinned ? 'Let it go' : 'Pin it here';
    for (const [, x] of this.cells) x.classList.toggle('now', x === g);
  }

  look(g, focus) {
    this.current = g.lies.key;
    this.rove();
    this.panel();
    if (focus) g.focus({preventScroll: true});
  }

  step(d) {
    const keys = [...this.cells.keys()], i = keys.indexOf(this.current);
    if (!keys.length) return;
    const there = document.activeElement && this.host.contains(document.activeElement);
    const g = this.cells.get(keys[there ? (i + d + keys.length) % keys.length : Math.max(i, 0)]);
    this.look(g, true);
    const [x, y] = this.spot(g.lies.sheet, g.lies.p.x, g.lies.p.y), [px, py] = this.board.toScreen(x, y), b = this.board;
    if (px < 0 || py < 0 || px > b.w || py > b.h) b.fly({x, y, s: b.view.s});
  }

  fitSheet() {
    const g = this.cells.get(this.current), i = g ? g.lies.sheet : 0, s = this.laid && this.laid.sheets[i];
    if (s) this.board.fly(this.board.fitting({x: this.at[i].x, y: this.at[i].y, w: s.w, h: s.h}, 1.06));
  }

  // handle lets a part be taken hold of, and acted on by keys.
  handle(g) {
    g.addEventListener('pointerdown', e => {
      if (e.button || this.laid.stale) return;
      e.stopPropagation();
      e.preventDefault();
      this.leave();
      this.look(g, true);
      this.host.setPointerCapture(e.pointerId);
      const at = this.board.toSheet(...this.board.local(e)), {p, sheet} = g.lies, mid = this.spot(sheet, p.x, p.y);
      this.press = {g, id: e.pointerId, from: this.board.local(e), off: [mid[0] - at[0], mid[1] - at[1]]};
    });
    g.addEventListener('focus', () => this.look(g));
    g.addEventListener('blur', () => { if (this.held && this.held.g === g && !this.press) this.leave(); });
    g.addEventListener('keydown', e => this.partKey(e, g));
  }

  // follow moves the part that is taken hold of with the pointer, and puts it where it is
  // let go.
  follow() {
    const host = this.host, ours = e => this.press && this.press.id === e.pointerId;
    host.addEventListener('pointermove', e => {
      if (!ours(e)) return;
      e.stopPropagation();
      const q = this.press, l = this.board.local(e);
      if (!this.held && Math.hypot(l[0] - q.from[0], l[1] - q.from[1]) < 5) return;
      if (!this.held) this.hold(q.g);
      const [x, y] = this.board.toSheet(...l), to = this.place(x + q.off[0], y + q.off[1]);
      this.drag(to.sheet, to.x, to.y);
    });
    const up = e => {
      if (!ours(e)) return;
      e.stopPropagation();
      const {g} = this.press, now = Date.now(), twice = this.tapped && this.tapped.g === g && now - this.tapped.at < 500;
      this.press = null;
      if (this.held) { if (e.type === 'pointerup') this.drop(); else this.leave(); return; }
      this.tapped = twice ? null : {g, at: now};
      if (twice) this.pin(g);
    };
    host.addEventListener('pointerup', up);
    host.addEventListener('pointercancel', up);
  }

  partKey(e, g) {
    if (e.ctrlKey || e.metaKey || e.altKey || this.laid.stale) return;
    const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[e.key], mm = e.shiftKey ? 10 : 1;
    const act = way ? () => {
      if (!this.held) this.hold(g);
      const h = this.held;
      this.drag(h.sheet, h.to[0] + way[0] * mm, h.to[1] + way[1] * mm);
    } : {
      Enter: () => { if (this.held) this.drop(); else this.pin(g); }, ' ': () => { if (!this.held) this.pin(g); },
      Escape: this.held && (() => this.leave()), Delete: () => { if (g.lies.p.pinned) this.pin(g); },
    }[e.key];
    if (!act) return;
    e.preventDefault();
    e.stopPropagation();
    act();
  }

  hold(g) {
    const {p, sheet} = g.lies;
    if (this.host.lastElementChild !== g) this.host.append(g); // above the others
    if (document.activeElement !== g) g.focus({preventScroll: true});
    this.held = {g, sheet, to: [p.x, p.y], turn: p.turn, off: [p.cx - p.x, p.cy - p.y]};
    g.classList.add('held');
  }

  body(h, step) { const {p} = h.g.lies; return {part: p.part, which: p.which, sheet: h.sheet, to: h.to, turn: h.turn, step: step || 0}; }

  // drag asks where the part would come to lie; the last place asked for counts.
  async drag(sheet, x, y) {
    const h = this.held;
    h.sheet = sheet;
    h.to = [x, y];
    this.move(h.g, sheet, x + h.off[0], y + h.off[1], h.turn);
    if (h.asking) { h.more = true; return; }
    h.asking = true;
    do {
      h.more = false;
      const r = await this.desk.ask('place', this.body(h));
      if (this.held !== h || !r) break;
      this.shown(h, r, !h.more);
    } while (h.more);
    h.asking = false;
  }

  // shown shows where a part would come to lie, and what makes room for it.
  shown(h, r, rest) {
    h.off = [r.cx - r.x, r.cy - r.y];
    h.turn = r.turn;
    h.g.classList.toggle('refused', !!r.refused);
    for (const [, g] of this.cells) g.classList.remove('way');
    const way = r.way.map(([i, n]) => this.laid.sheets[i] && this.laid.sheets[i].parts[n]).filter(Boolean);
    for (const p of way) { const g = this.cells.get(this.key2(p)); if (g) g.classList.add('way'); }
    const {p} = h.g.lies;
    this.tell(r.refused ? `Not here: ${r.refused}` : `Part ${p.part}: ${(r.x - p.w / 2).toFixed(1)}, ${(r.y - p.h / 2).toFixed(1)} mm on sheet ${h.sheet + 1}${way.length ? `; ${way.length === 1 ? 'part' : 'parts'} ${way.map(q => q.part).join(', ')} ${way.length === 1 ? 'makes' : 'make'} room` : ''}`);
    if (rest && !r.refused) this.move(h.g, h.sheet, r.cx, r.cy, r.turn);
  }

  tell(text) { const t = $('lay-told'); t.textContent = text; t.hidden = !text; }

  async drop() {
    const h = this.held;
    this.let(h);
    const p = h.g.lies.p, done = await this.desk.send('pin', this.body(h));
    if (!done) this.move(h.g, h.g.lies.sheet, p.cx, p.cy, p.turn);
  }

  leave() {
    const h = this.held;
    if (!h) return;
    this.let(h);
    const {p, sheet} = h.g.lies;
    this.move(h.g, sheet, p.cx, p.cy, p.turn);
  }

  let(h) {
    this.held = null;
    h.g.classList.remove('held', 'refused');
    for (const [, g] of this.cells) g.classList.remove('way');
    this.tell('');
  }

  // pin pins a part where it lies, or lets it go.
  pin(g) {
    const {p, sheet} = g.lies;
    if (p.pinned) return this.desk.send('unpin', {part: p.part, which: p.which});
    return this.desk.send('pin', {part: p.part, which: p.which, sheet, to: [p.x, p.y], turn: p.turn});
  }

  // turn turns the part that has the eye by as many of its turns; one that is held turns
  // in the hand.
  async turn(step) {
    const h = this.held, g = h ? h.g : this.cells.get(this.current);
    if (!g || this.laid.stale) return;
    const {p, sheet} = g.lies;
    if (!h) { await this.desk.send('pin', {part: p.part, which: p.which, sheet, to: [p.x, p.y], turn: p.turn, step}); return; }
    const r = await this.desk.ask('place', this.body(h, step));
    if (this.held === h && r) this.shown(h, r, true);
  }

  // key acts on a key while the sheets are shown, and tells whether it did.
  key(e) {
    if (!this.on || e.ctrlKey || e.metaKey || e.altKey) return false;
    const k = e.key.toLowerCase();
    const act = {
      n: () => this.step(1), p: () => this.step(-1), r: () => this.turn(e.shiftKey ? -1 : 1),
      0: () => { this.board.forget(); this.board.fit(); }, 9: () => this.fitSheet(),
      escape: () => this.leave(),
    }[k];
    if (k === 'escape' && !this.held) return false;
    if (act) act();
    return !!act || /^[1-9abm]$/.test(k); // which would answer what is asked on the drawing
  }

  listen() {
    const begin = on => { this.stopping = false; this.desk.send('lay', {seconds: +$('lay-time').value, on}); };
    $('lay').addEventListener('click', () => begin(false));
    $('lay-on').addEventListener('click', () => begin(true));
    $('lay-stop').addEventListener('click', () => { this.stopping = true; this.render(); this.desk.send('halt'); }); // said before it is so: a search within the page hears of it late
    addEventListener('resize', () => { if (this.on && !this.held && this.laid && this.laid.sheets.length) { this.drawSheets(); this.drawParts(); } });
    $('lay-pin').addEventListener('click', () => this.desk.send('pinall'));
    $('lay-free').addEventListener('click', () => this.desk.send('unpinall'));
    $('lay-part').addEventListener('click', e => {
      const act = e.target.dataset.lay, g = this.cells.get(this.current);
      if (!act || !g) return;
      if (act === 'pin') this.pin(g); else this.turn(act === 'left' ? 1 : -1);
    });
    addEventListener('beforeprint', () => { if (this.on && this.laid && this.laid.sheets.length) this.board.print(); });
    addEventListener('afterprint', () => { if (this.on) this.board.draw(true); });
  }
}
