
// The page around the boards: lists that lead to places, the switch between
// before and after, layers, keys, and printing.

class File {
  constructor(el) {
    this.el = el;
    this.board = new Board(el);
    this.markers = JSON.parse(el.querySelector('.markers').textContent) || [];
    this.current = null;
    this.board.onPick = (at, target) => this.pick(at, target);
    el.addEventListener('click', e => this.click(e));
    el.addEventListener('change', e => this.change(e));
    el.addEventListener('pointerover', e => this.hover(e));
    el.addEventListener('focusin', e => this.heat(e.target.closest('.go')));
    for (const box of el.querySelectorAll('[data-layer]')) {
      const name = box.dataset.layer;
      box.disabled = name !== 'kerf' && !el.querySelector(`.ly.${name}`) && !(name === 'open' && el.querySelector('.ly.end'));
    }
  }

  get side() { return ['before', 'after', 'both'].find(s => this.board.el.classList.contains(`show-${s}`)); }

  setSide(side) {
    for (const s of ['before', 'after', 'both']) this.board.el.classList.toggle(`show-${s}`, s === side);
    for (const r of this.el.querySelectorAll('.switch input')) r.checked = r.value === side;
  }

  flip() {
    if (this.el.querySelector('.switch')) this.setSide(this.side === 'after' ? 'before' : 'after');
  }

  click(e) {
    const b = e.target.closest('button');
    if (!b) return;
    if (b.classList.contains('go')) this.go(b);
    else if (b.classList.contains('more')) this.more(b, true);
    else if (b.dataset.do === 'fit') { this.leave(); this.board.fit(); }
    else if (b.dataset.do === 'sheet') { this.leave(); this.board.fitSheet(); }
    else if (b.dataset.do === 'in') this.board.zoom(1 / 1.6);
    else if (b.dataset.do === 'out') this.board.zoom(1.6);
  }

  change(e) {
    const t = e.target;
    if (t.dataset.layer) {
      if (t.dataset.layer === 'kerf' && t.checked) this.makeKerf();
      this.board.el.classList.toggle(`no-${t.dataset.layer}`, !t.checked);
    } else if (t.closest('.filter')) t.closest('.list').classList.toggle(`no-${t.value}`, !t.checked);
    else if (t.closest('.switch')) this.setSide(t.value);
  }

  // makeKerf draws all cuts once more at the width of the stream.
  makeKerf() {
    const width = this.board.el.dataset.kerf;
    for (const side of this.el.querySelectorAll('.side')) {
      if (side.querySelector('.kerf')) continue;
      const g = document.createElementNS(SVG, 'g');
      g.setAttribute('class', 'ly kerf');
      g.setAttribute('stroke-width', width);
      for (const p of side.querySelectorAll('.outside path, .inside path, .open path')) {
        const c = document.createElementNS(SVG, 'path');
        c.setAttribute('d', p.getAttribute('d'));
        g.append(c);
      }
      side.prepend(g);
    }
  }

  // more puts the next step of a long list on the page.
  more(button, focus) {
    const group = button.closest('details, .parts'), t = group.querySelector('template.rest'), list = group.querySelector('.rows, tbody');
    if (!t) return;
    const first = t.content.querySelector('.go');
    list.append(t.content);
    t.remove();
    const rest = [...group.querySelectorAll('template.rest')].reduce((n, r) => n + r.content.childElementCount, 0);
    button.textContent = `Show more of the ${rest} left`;
    const told = group.querySelector('.rest-told');
    told.textContent = `The other ${rest} are in the report on screen.`;
    if (!rest) { button.remove(); told.remove(); }
    if (focus) first.focus();
  }

  // row finds a row by its id, bringing it onto the page if it still waits.
  row(id) {
    let r = document.getElementById(id);
    if (r) return r;
    const t = [...this.el.querySelectorAll('template.rest')].find(t => t.content.getElementById(id));
    while (t && t.isConnected) this.more(t.closest('details, .parts').querySelector('.more'), false);
    return document.getElementById(id);
  }

  go(row) {
    this.leave();
    this.current = row;
    row.setAttribute('aria-current', 'true');
    this.heat(row);
    if (row.dataset.side && this.side !== 'both') this.setSide(row.dataset.side);
    const plain = 'parts' in row.dataset;
    if (plain) this.light(row);
    this.board.look(row.dataset.go, row.dataset.gauge, row.dataset.tag, plain);
  }

  leave() {
    if (this.current) this.current.removeAttribute('aria-current');
    this.current = null;
    this.board.forget();
    for (const p of this.el.querySelectorAll('.lit')) p.classList.remove('lit');
    this.heat(null);
  }

  // heat lets the mark of a row stand out, beside that of the current one.
  heat(row) {
    for (const m of this.el.querySelectorAll('.mark .hot')) m.classList.remove('hot');
    for (const r of [row, this.current]) {
      const m = r && r.id && this.board.svg.querySelector(`.mark [data-for="${r.id}"]`);
      if (m) m.classList.add('hot');
    }
  }

  light(row) {
    for (const p of this.el.querySelectorAll('.lit')) p.classList.remove('lit');
    for (const i of row.dataset.parts.split(' ')) {
      const p = i && this.el.querySelector(`.fill path[data-p="${i}"]`);
      if (p) p.classList.add('lit');
    }
  }

  hover(e) {
    this.heat(e.target.closest('.rows .go'));
    const row = e.target.closest('.schedule tr');
    const part = row && row.querySelector('.go.part');
    if (part) this.light(part);
    else if (!this.board.focus || !this.board.focus.plain) for (const p of this.el.querySelectorAll('.lit')) p.classList.remove('lit');
  }

  // pick follows a click on the drawing: to the nearest marker within reach,
  // else to the part under it.
  pick(at, target) {
    const hidden = this.board.el.classList.contains('no-mark');
    let best = 14, id = '';
    for (const l of this.markers) {
      if (hidden || l.side !== this.side && this.side !== 'both') continue;
      const list = document.getElementById(l.key);
      for (let i = 0; i < l.at.length; i += 2) {
        const [x, y] = this.board.toScreen(l.at[i], l.at[i + 1]), d = Math.hypot(x - at[0], y - at[1]);
        if (d < best && list) { best = d; id = `${l.key}-${i / 2}`; }
      }
    }
    const part = target.closest && target.closest('[data-row]');
    const row = this.row(id || (part ? part.dataset.row : ''));
    if (!row) { this.leave(); return; }
    const group = row.closest('details');
    if (group) group.open = true;
    if (id) this.go(row);
    else {
      this.leave();
      this.current = row;
      row.setAttribute('aria-current', 'true');
      this.light(row);
    }
    if (matchMedia('(min-width: 60.01rem)').matches) row.scrollIntoView({block: 'center'});
  }

  // step goes to the next or previous finding of the list in sight, else the first list.
  step(by) {
    const list = (this.current && this.current.closest('.list')) || this.el.querySelector('.list');
    if (!list) return;
    const rows = [...list.querySelectorAll('.rows .go')].filter(r => getComputedStyle(r.closest('details')).display !== 'none');
    const i = rows.indexOf(this.current), next = rows[i < 0 ? (by > 0 ? 0 : rows.length - 1) : i + by];
    if (!next) return;
    next.closest('details').open = true;
    next.focus({preventScroll: true});
    next.scrollIntoView({block: 'nearest'});
    this.go(next);
  }
}

const files = new Map();
const articles = [...document.querySelectorAll('.file')];
let shown = null;

// open shows one drawing of many; boards are set up when first shown.
function open(el) {
  for (const a of articles) a.hidden = a !== el;
  for (const a of document.querySelectorAll('.index .open')) {
    if (a.hash === `#${el.id}`) a.setAttribute('aria-current', 'true');
    else a.removeAttribute('aria-current');
  }
  if (el.querySelector('.board') && !files.has(el)) files.set(el, new File(el));
  shown = files.get(el) || null;
}

function fromHash() {
  const t = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const a = t && t.closest('.file');
  if (a && a.hidden) { open(a); t.scrollIntoView(); }
}

document.documentElement.classList.add('live');
if (articles.length) {
  const named = document.getElementById(location.hash.slice(1));
  open((named && named.closest('.file')) || articles[0]);
}
addEventListener('hashchange', fromHash);

addEventListener('keydown', e => {
  if (!shown || e.ctrlKey || e.metaKey || e.altKey || e.target.closest('input:not([type=checkbox]):not([type=radio]),textarea')) return;
  const row = e.target.closest('.rows .go');
  if (row && (e.key === 'ArrowDown' || e.key === 'ArrowUp')) {
    const rows = [...shown.el.querySelectorAll('.rows .go')].filter(r => r.offsetParent);
    const next = rows[rows.indexOf(row) + (e.key === 'ArrowDown' ? 1 : -1)];
    if (next) { e.preventDefault(); next.focus(); }
    return;
  }
  const act = {
    n: () => shown.step(1), p: () => shown.step(-1), b: () => shown.flip(),
    0: () => { shown.leave(); shown.board.fit(); }, 9: () => { shown.leave(); shown.board.fitSheet(); }, Escape: () => shown.leave(),
  }[e.key.length === 1 ? e.key.toLowerCase() : e.key];
  if (act) act();
});

document.addEventListener('click', e => {
  for (const d of document.querySelectorAll('.layers[open]')) if (!d.contains(e.target)) d.open = false;
});

// On paper every list is open, the parts are drawn as large as it goes, and all sheets
// of a layout follow each other.
let closed = [], away = [], put = [];
addEventListener('beforeprint', () => {
  put = articles.filter(a => a.hidden && a.classList.contains('laid'));
  for (const a of put) {
    a.hidden = false;
    if (a.querySelector('.board') && !files.has(a)) files.set(a, new File(a));
  }
  closed = [...document.querySelectorAll('.rule:not([open])')];
  for (const d of closed) d.open = true;
  for (const f of files.values()) { // the whole schedule goes to the shop
    for (let b; (b = f.el.querySelector('.parts .more'));) f.more(b, false);
  }
  away = [...files.values()].map(f => [f.board, f.board.view]);
  for (const [b] of away) b.print();
});
addEventListener('afterprint', () => {
  for (const d of closed) d.open = false;
  for (const a of put) a.hidden = true;
  for (const [b] of away) b.resize();
});
