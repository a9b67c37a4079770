
// The cutting, run by run: a time leads to a run, and to where the head is on it.

class Walk {
  constructor(el) {
    this.el = el;
    this.data = JSON.parse(el.querySelector('.times').textContent);
    this.runs = [...el.querySelectorAll('.w-runs path')];
    this.ways = [...el.querySelectorAll('.w-ways path')];
    this.loose = [...el.querySelectorAll('.w-loose path')];
    this.play = el.querySelector('.play');
    this.slider = el.querySelector('input');
    this.told = el.querySelector('.told');
    // When the head sets out for each run, opens the stream there, and shuts it.
    this.out = []; this.open = []; this.shut = [];
    let t = 0;
    for (let i = 0; i < this.runs.length; i++) {
      this.out.push(t);
      this.open.push(t += this.data.off[i]);
      this.shut.push(t += this.data.on[i]);
    }
    this.whole = t;
    this.slider.max = t;
    const svg = el.querySelector('svg');
    this.trace = document.createElementNS(SVG, 'path');
    this.head = document.createElementNS(SVG, 'circle');
    this.head.setAttribute('r', this.data.head);
    svg.append(this.trace, this.head);
    this.speed = el.querySelector('select');
    // Of the speeds offered, the one by which all of it takes about a minute.
    for (const o of this.speed.options) if (t / o.value > 60) this.speed.value = o.value;
    this.reached = 0; // runs before this one are drawn as done
    this.seek(0);
    this.play.addEventListener('click', () => this.run(!this.running));
    this.slider.addEventListener('input', () => { this.run(false); this.seek(+this.slider.value); });
    this.slider.addEventListener('keydown', e => this.key(e));
    el.querySelector('.back').addEventListener('click', () => this.step(-1));
    el.querySelector('.on').addEventListener('click', () => this.step(1));
    el.addEventListener('click', e => {
      const b = e.target.closest('.seek');
      if (b) { this.run(false); this.seek(this.moving(b.dataset.run - 1)); }
    });
    addEventListener('beforeprint', () => { this.kept = this.now; this.seek(this.whole); });
    addEventListener('afterprint', () => this.seek(this.kept));
  }

  // moving is a time halfway to a run.
  moving(i) { return (this.out[i] + this.open[i]) / 2; }

  key(e) {
    const by = {ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10}[e.key];
    if (!by || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    this.step(by);
  }

  // step goes to the end of a run further on or back.
  step(by) {
    this.run(false);
    const i = this.done(this.now) - 1 + by;
    this.seek(i < 0 ? 0 : this.shut[Math.min(i, this.shut.length - 1)]);
  }

  run(on) {
    if (on && this.now >= this.whole) this.seek(0);
    this.running = on;
    this.play.textContent = on ? 'Pause' : 'Play';
    this.play.setAttribute('aria-pressed', on);
    cancelAnimationFrame(this.frame);
    if (!on) return;
    let last = performance.now();
    const go = now => {
      this.seek(this.now + Math.min(now - last, 100) / 1000 * this.speed.value);
      last = now;
      if (this.now >= this.whole) this.run(false);
      else this.frame = requestAnimationFrame(go);
    };
    this.frame = requestAnimationFrame(go);
  }

  // done counts the runs that have ended at a time.
  done(t) {
    let lo = 0, hi = this.shut.length;
    while (lo < hi) {
      const m = (lo + hi) >> 1;
      if (this.shut[m] <= t + 1e-9) lo = m + 1; else hi = m;
    }
    return lo;
  }

  seek(t) {
    t = Math.min(Math.max(t, 0), this.whole);
    const k = this.done(t), changed = k !== this.reached || this.now === undefined;
    this.now = t;
    for (let i = Math.min(k, this.reached); i < Math.max(k, this.reached); i++) {
      this.runs[i].classList.toggle('done', i < k);
      this.ways[i].classList.toggle('gone', i < k);
    }
    this.reached = k;
    if (changed) {
      this.free = 0;
      for (const p of this.loose) {
        const is = +p.dataset.by < k;
        p.classList.toggle('free', is);
        this.free += is;
      }
    }
    this.slider.value = t;
    this.place(t, Math.min(k, this.runs.length - 1));
    this.tell(t, k, changed);
  }

  // place puts the head where it is, and traces how far it has come on run i.
  place(t, i) {
    const shut = t < this.open[i], leg = shut ? this.ways[i] : this.runs[i];
    const from = shut ? this.out[i] : this.open[i], to = shut ? this.open[i] : this.shut[i];
    const share = to > from ? Math.min(1, (t - from) / (to - from)) : 1;
    const length = leg.getTotalLength(), n = Math.max(1, Math.ceil(share * 48));
    let d = '', at;
    for (let s = 0; s <= n; s++) {
      at = leg.getPointAtLength(length * share * s / n);
      d += `${s ? 'L' : 'M'}${at.x} ${at.y}`;
    }
    const up = shut && leg.classList.contains('up');
    this.trace.setAttribute('d', d);
    this.head.setAttribute('cx', at.x);
    this.head.setAttribute('cy', at.y);
    this.trace.setAttribute('class', `w-trace${shut ? ' shut' : ''}${up ? ' up' : ''}`);
    this.head.setAttribute('class', `w-head${shut ? ' shut' : ''}${up ? ' up' : ''}`);
    this.state = up ? 'head raised' : shut ? 'on the way' : 'stream open';
  }

  tell(t, k, changed) {
    const n = this.runs.length, i = Math.min(k, n - 1), clock = s => `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, '0')}`;
    const parts = [k < n ? `Run ${i + 1} of ${n}, ${this.data.what[i]}, ${this.state}` : `All ${n} runs done`, `${this.free} ${this.free === 1 ? 'piece' : 'pieces'} loose`];
    if (this.data.timed) parts.splice(1, 0, `${clock(t)} of about ${clock(this.whole)}`);
    this.told.textContent = parts.join(' · ');
    if (changed || !this.running) this.slider.setAttribute('aria-valuetext', parts.join(', '));
  }
}

for (const el of document.querySelectorAll('.walk')) if (el.querySelector('.times')) new Walk(el);
