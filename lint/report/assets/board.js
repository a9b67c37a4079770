'use strict';
// The drawing board: the picture is in mm with y downwards; the view is the
// place at the middle of the board and how many mm one pixel shows.

const still = matchMedia('(prefers-reduced-motion: reduce)');
const SVG = 'http://www.w3.org/2000/svg';

class Board {
  constructor(file) {
    this.el = file.querySelector('.board');
    this.svg = this.el.querySelector('svg');
    this.gauge = this.svg.querySelector('.gauge');
    this.pin = this.el.querySelector('.pin');
    this.tag = this.el.querySelector('.tag');
    this.readout = this.el.querySelector('.readout');
    this.scale = this.el.querySelector('.scale');
    this.scale.prepend(document.createTextNode(''));
    // At first the parts are framed; the whole is the sheet with all that lies on it.
    const v = this.svg.viewBox.baseVal, [x, y, w, h] = this.el.dataset.sheet.split(' ').map(Number);
    this.parts = {x: v.x, y: v.y, w: v.width, h: v.height};
    this.whole = {x, y, w, h};
    this.marks = [...this.svg.querySelectorAll('.mark:not(.many)')];
    this.ox = +this.el.dataset.ox;
    this.oy = +this.el.dataset.oy;
    // Many pieces take long to draw: while such a picture moves it is shown
    // as an image of itself and drawn afresh once it rests.
    this.heavy = +this.el.dataset.pieces > 3000;
    this.view = null;
    this.drawn = null;
    this.focus = null;
    this.onPick = () => {};
    this.pointers = new Map();
    this.listen();
    new ResizeObserver(() => this.resize()).observe(this.el);
    this.resize();
  }

  resize() {
    const v = this.view, was = v && this.w && this.fitting(this.parts, 1);
    const rests = was && v.x === was.x && v.y === was.y && v.s === was.s;
    this.w = this.el.clientWidth;
    this.h = this.el.clientHeight;
    if (!this.w || !this.h) return;
    if (!v || rests) this.view = this.fitting(this.parts, 1);
    this.draw(true);
  }

  // fitting returns the view that shows a box with some room around it.
  fitting(b, room) {
    const s = Math.max(b.w / this.w, b.h / this.h) * room;
    return {x: b.x + b.w / 2, y: b.y + b.h / 2, s: s > 0 ? s : 1};
  }

  fit() { this.fly(this.fitting(this.parts, 1)); }

  fitSheet() { this.fly(this.fitting(this.whole, 1)); }

  // show sets the view within sensible bounds and draws it with the next frame.
  show(v) {
    const most = 4 * Math.max(this.whole.w / this.w, this.whole.h / this.h);
    v.s = Math.min(Math.max(v.s, 2e-6), most);
    v.x = Math.min(Math.max(v.x, this.whole.x - this.whole.w), this.whole.x + 2 * this.whole.w);
    v.y = Math.min(Math.max(v.y, this.whole.y - this.whole.h), this.whole.y + 2 * this.whole.h);
    this.view = v;
    if (!this.frame) this.frame = requestAnimationFrame(() => { this.frame = 0; this.draw(false); });
  }

  draw(now) {
    const v = this.view;
    if (!v || !this.w) return;
    clearTimeout(this.later);
    if (this.heavy && !now && this.drawn) {
      const d = this.drawn, k = d.s / v.s;
      this.svg.style.willChange = 'transform';
      this.svg.style.transform = `translate(${(d.x - v.x) / v.s + this.w / 2 * (1 - k)}px,${(d.y - v.y) / v.s + this.h / 2 * (1 - k)}px) scale(${k})`;
      this.later = setTimeout(() => this.draw(true), 140);
    } else {
      this.svg.style.transform = this.svg.style.willChange = '';
      this.svg.setAttribute('viewBox', `${v.x - this.w / 2 * v.s} ${v.y - this.h / 2 * v.s} ${this.w * v.s} ${this.h * v.s}`);
      this.drawn = {...v};
      this.drawMarks(v.s, this.fitting(this.parts, 1).s / v.s);
    }
    this.drawScale();
    this.drawPin();
  }

  // drawMarks keeps marks open at a size on the screen: small over the whole, where
  // they are many, larger the closer one looks.
  drawMarks(s, zoom) {
    for (const g of this.marks) {
      const px = Math.min(9, g.dataset.px * Math.sqrt(Math.max(1, zoom))) * Math.min(1, Math.max(.65, this.w / 700));
      g.style.setProperty('--grow', px * s / g.dataset.mm);
    }
  }

  // print draws the parts at the width of a sheet of paper.
  print() {
    const b = this.parts;
    this.svg.style.transform = '';
    this.svg.setAttribute('viewBox', `${b.x} ${b.y} ${b.w} ${b.h}`);
    this.drawMarks(b.w / 690, 1);
  }

  toScreen(x, y) {
    const v = this.view;
    return [(x - v.x) / v.s + this.w / 2, (y - v.y) / v.s + this.h / 2];
  }

  toSheet(px, py) {
    const v = this.view;
    return [v.x + (px - this.w / 2) * v.s, v.y + (py - this.h / 2) * v.s];
  }

  // drawScale sets the bar to a round length and the grid to a tenth or a
  // whole of it, laid on the drawing's own zero.
  drawScale() {
    const target = 120 * this.view.s, ten = 10 ** Math.floor(Math.log10(target));
    const len = ten * (target / ten >= 5 ? 5 : target / ten >= 2 ? 2 : 1);
    const text = len >= 1 ? `${len} mm` : `${+len.toPrecision(1)} mm`;
    this.scale.firstChild.nodeValue = text;
    this.scale.querySelector('span').style.width = `${len / this.view.s}px`;
    const [x, y] = this.toScreen(-this.ox, this.oy), step = len / this.view.s / 2;
    this.el.style.backgroundSize = `${step}px ${step}px`;
    this.el.style.backgroundPosition = `${x % step}px ${y % step}px`;
  }

  drawPin() {
    const f = this.focus;
    this.pin.hidden = !f || f.plain;
    this.tag.hidden = !f || !f.tag;
    if (!f) return;
    const [x, y] = this.toScreen(f.x, f.y);
    // The ring stays outside the gauge, however large that is on the screen.
    const r = Math.max(22, f.reach / this.view.s + 10);
    this.pin.hidden = this.pin.hidden || r > this.w;
    this.pin.style.width = this.pin.style.height = `${2 * r}px`;
    this.pin.style.margin = `${-r}px`;
    this.pin.style.transform = `translate(${x}px,${y}px)`;
    const up = y - r - 40 > 0 ? y - r - 34 : Math.min(y + r + 12, this.h - 30);
    const left = Math.min(Math.max(4, x - this.tag.offsetWidth / 2), this.w - this.tag.offsetWidth - 4);
    this.tag.style.transform = `translate(${left}px,${up}px)`;
  }

  // fly moves the view smoothly: along a line, with the zoom even in ratio.
  fly(to) {
    cancelAnimationFrame(this.flight);
    const from = this.view;
    if (still.matches || !from || this.heavy || document.hidden) { this.show(to); this.draw(true); return; }
    const start = performance.now(), took = 380;
    const step = now => {
      const t = Math.min(1, (now - start) / took), e = t < .5 ? 2 * t * t : 1 - 2 * (1 - t) * (1 - t);
      const s = from.s * (to.s / from.s) ** e;
      // Moving as the zoom moves keeps the aim still on the screen at the end.
      const m = Math.abs(to.s - from.s) < 1e-9 * from.s ? e : (s - from.s) / (to.s - from.s);
      this.show({x: from.x + (to.x - from.x) * m, y: from.y + (to.y - from.y) * m, s});
      if (t < 1) this.flight = requestAnimationFrame(step);
    };
    this.flight = requestAnimationFrame(step);
  }

  // look goes to a place: g is "x y x0 y0 x1 y1", the gauge is drawn to scale.
  look(g, gauge, tag, plain) {
    const [x, y, x0, y0, x1, y1] = g.split(' ').map(Number);
    const m = this.setGauge(gauge);
    this.focus = {x, y, tag, plain, reach: m};
    this.tag.textContent = tag || '';
    this.el.classList.toggle('looking', !plain);
    const span = Math.max(x1 - x0, y1 - y0);
    let size = Math.max(span * (plain ? 1.5 : 2.2), m * 16);
    if (!size) size = Math.max(this.whole.w, this.whole.h) / 12;
    const mid = plain || span > m * 40 ? {x: (x0 + x1) / 2, y: (y0 + y1) / 2} : {x, y};
    if (m && span > m * 40) { size = m * 24; mid.x = x; mid.y = y; }
    this.fly({...mid, s: Math.max(size, 1e-3) / Math.min(this.w, this.h)});
  }

  // setGauge draws the measure and returns how far it reaches from its middle.
  setGauge(text) {
    this.gauge.replaceChildren();
    if (!text) return 0;
    const [kind, ...n] = text.split(' ');
    const [ax, ay, bx, by, value, limit] = n.map(Number);
    const add = (name, cls, attrs) => {
      const e = document.createElementNS(SVG, name);
      e.setAttribute('class', cls);
      for (const k in attrs) e.setAttribute(k, attrs[k]);
      this.gauge.append(e);
    };
    const cx = (ax + bx) / 2, cy = (ay + by) / 2;
    if (kind === 'disc') {
      if (limit > 0) add('circle', 'limit', {cx, cy, r: limit / 2});
      add('circle', 'disc', {cx, cy, r: value / 2});
    }
    add('line', 'span', {x1: ax, y1: ay, x2: bx, y2: by});
    const tick = .35 * Math.hypot(bx - ax, by - ay), l = Math.hypot(bx - ax, by - ay) || 1;
    const dx = -(by - ay) / l * tick, dy = (bx - ax) / l * tick;
    for (const [x, y] of [[ax, ay], [bx, by]]) add('line', 'span', {x1: x - dx, y1: y - dy, x2: x + dx, y2: y + dy});
    return Math.max(value, limit) / 2;
  }

  forget() {
    this.focus = null;
    this.gauge.replaceChildren();
    this.el.classList.remove('looking');
    this.drawPin();
  }

  zoom(factor, px = this.w / 2, py = this.h / 2) {
    const [x, y] = this.toSheet(px, py), v = this.view;
    this.show({x: x + (v.x - x) * factor, y: y + (v.y - y) * factor, s: v.s * factor});
  }

  local(e) {
    const r = this.el.getBoundingClientRect();
    return [e.clientX - r.left - this.el.clientLeft, e.clientY - r.top - this.el.clientTop];
  }

  listen() {
    const el = this.el;
    el.addEventListener('wheel', e => {
      e.preventDefault();
      cancelAnimationFrame(this.flight);
      const step = e.deltaMode ? 30 : 1;
      this.zoom(Math.exp(Math.max(-200, Math.min(200, e.deltaY * step)) * (e.ctrlKey ? .008 : .0016)), ...this.local(e));
    }, {passive: false});
    el.addEventListener('pointerdown', e => {
      if (e.button) return;
      cancelAnimationFrame(this.flight);
      el.setPointerCapture(e.pointerId);
      this.pointers.set(e.pointerId, this.local(e));
      this.moved = this.pointers.size > 1 ? 99 : 0;
      this.hit = e.target;
      el.classList.add('held');
    });
    el.addEventListener('pointermove', e => {
      const at = this.local(e), was = this.pointers.get(e.pointerId);
      if (!was) { this.tell(at); return; }
      const others = [...this.pointers].filter(([id]) => id !== e.pointerId).map(([, p]) => p);
      if (others.length) { // pinch: keep what is under both fingers under them
        const o = others[0], d0 = Math.hypot(was[0] - o[0], was[1] - o[1]), d1 = Math.hypot(at[0] - o[0], at[1] - o[1]);
        if (d0 > 0 && d1 > 0) this.zoom(d0 / d1, ...o);
      } else {
        const dx = at[0] - was[0], dy = at[1] - was[1], v = this.view;
        this.moved += Math.abs(dx) + Math.abs(dy);
        if (this.moved > 4) this.show({x: v.x - dx * v.s, y: v.y - dy * v.s, s: v.s});
      }
      this.pointers.set(e.pointerId, at);
    });
    const end = e => {
      if (!this.pointers.delete(e.pointerId)) return;
      if (!this.pointers.size) el.classList.remove('held');
      if (e.type === 'pointerup' && this.moved <= 4) this.onPick(this.local(e), this.hit);
    };
    el.addEventListener('pointerup', end);
    el.addEventListener('pointercancel', end);
    el.addEventListener('pointerleave', () => { this.readout.textContent = ''; });
    el.addEventListener('keydown', e => this.key(e));
  }

  key(e) {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target !== this.el) return;
    const v = this.view, d = 60 * v.s;
    const act = {
      ArrowLeft: () => this.show({...v, x: v.x - d}), ArrowRight: () => this.show({...v, x: v.x + d}),
      ArrowUp: () => this.show({...v, y: v.y - d}), ArrowDown: () => this.show({...v, y: v.y + d}),
      '+': () => this.zoom(1 / 1.4), '=': () => this.zoom(1 / 1.4), '-': () => this.zoom(1.4),
    }[e.key];
    if (act) { e.preventDefault(); act(); }
  }

  tell(at) {
    const [x, y] = this.toSheet(...at);
    this.readout.textContent = `x ${(x + this.ox).toFixed(2)}  y ${(this.oy - y).toFixed(2)} mm`;
  }
}
