
// Grips are the tabs and numbers of the drawing, which can be put elsewhere: a button
// over each that is in sight, while they are to be moved.
class Grips {
  constructor(desk) {
    this.desk = desk;
    this.board = desk.board;
    this.all = [];
    this.host = this.board.el.querySelector('.grips');
    this.box = $('grips');
    this.box.addEventListener('change', () => this.place());
    const pin = this.board.drawPin.bind(this.board);
    this.board.drawPin = () => { pin(); this.place(); };
  }

  set(list) {
    this.all = list || [];
    this.box.disabled = !this.all.length;
    this.host.replaceChildren();
    this.place();
  }

  toggle() { if (!this.box.disabled) { this.box.checked = !this.box.checked; this.place(); } }

  at(g) { return this.board.toScreen(g.x - this.board.ox, this.board.oy - g.y); }

  // place puts a button over each grip that is in sight.
  place() {
    const b = this.board, on = this.box.checked && !this.box.disabled && b.view && b.w;
    this.host.hidden = !on;
    if (!on || this.held) return;
    const seen = [];
    for (const g of this.all) {
      const [x, y] = this.at(g);
      if (x < 0 || y < 0 || x > b.w || y > b.h) continue;
      seen.push(g);
      if (seen.length > 400) break; // too small to be taken hold of
    }
    const there = seen.length > 400 ? [] : seen;
    for (const g of this.all) if (g.button && !there.includes(g)) { if (g.button === document.activeElement) continue; g.button.remove(); g.button = null; }
    for (const g of there) {
      g.button ||= this.button(g);
      this.move(g.button, ...this.at(g));
    }
    this.box.parentElement.title = seen.length > 400 ? 'Zoom in to see them' : '';
  }

  move(e, x, y) { e.style.transform = `translate(${x}px,${y}px)`; }

  button(g) {
    const what = g.kind === 'tab' ? 'Tab' : 'Number';
    const e = make('button', {type: 'button', class: `grip ${g.kind}`, 'aria-label': `${what} of part ${g.part} at ${g.x.toFixed(1)}, ${g.y.toFixed(1)} mm. Arrow keys move it, Enter puts it there, Escape leaves it.`});
    this.host.append(e);
    e.addEventListener('pointerdown', d => {
      if (d.button) return;
      d.stopPropagation();
      d.preventDefault();
      e.focus({preventScroll: true});
      e.setPointerCapture(d.pointerId);
      this.hold(g, e);
    });
    e.addEventListener('pointermove', d => { if (this.held && this.held.g === g && e.hasPointerCapture(d.pointerId)) { d.stopPropagation(); this.drag(this.board.toSheet(...this.board.local(d))); } });
    e.addEventListener('pointerup', d => { if (this.held && this.held.g === g) { d.stopPropagation(); this.drop(); } });
    e.addEventListener('pointercancel', () => this.leave());
    e.addEventListener('blur', () => { if (this.held && this.held.g === g && this.held.keys) this.leave(); });
    e.addEventListener('keydown', d => this.key(d, g, e));
    return e;
  }

  hold(g, e) { this.held = {g, e, to: [g.x, g.y], moved: false}; e.classList.add('held'); }

  key(d, g, e) {
    const step = (d.shiftKey ? 1 : 8) * this.board.view.s, way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[d.key];
    if (way) {
      d.preventDefault();
      d.stopPropagation();
      if (!this.held) { this.hold(g, e); this.held.keys = true; }
      const [x, y] = this.held.wish || this.held.to;
      this.held.wish = [x + way[0] * step, y + way[1] * step];
      this.drag([this.held.wish[0] - this.board.ox, this.board.oy - this.held.wish[1]]);
    } else if (this.held && d.key === 'Enter') { d.preventDefault(); d.stopPropagation(); this.drop(); }
    else if (this.held && d.key === 'Escape') { d.preventDefault(); d.stopPropagation(); this.leave(); }
  }

  // drag asks where the grip would come to stand; the last place asked for counts.
  async drag([x, y]) {
    const h = this.held;
    h.moved = true;
    h.to = [x + this.board.ox, this.board.oy - y];
    this.move(h.e, ...this.board.toScreen(x, y));
    if (h.asking) { h.more = true; return; }
    h.asking = true;
    do {
      h.more = false;
      const to = h.to, r = await this.desk.ask('spot', {kind: h.g.kind, part: h.g.part, from: [h.g.x, h.g.y], to});
      if (this.held !== h || !r) break;
      h.refused = r.refused;
      h.e.classList.toggle('refused', !!r.refused);
      this.tell(r.refused ? `Not here: ${r.refused}` : `Part ${h.g.part}: ${h.g.kind} at ${r.at[0].toFixed(1)}, ${r.at[1].toFixed(1)} mm`);
      if (!h.more) this.move(h.e, ...this.board.toScreen(r.at[0] - this.board.ox, this.board.oy - r.at[1]));
    } while (h.more);
    h.asking = false;
  }

  tell(text) { const p = $('gripped'); p.textContent = text; p.hidden = !text; }

  async drop() {
    const h = this.held;
    this.end(h);
    if (!h.moved) return;
    await this.desk.send('put', {kind: h.g.kind, part: h.g.part, from: [h.g.x, h.g.y], to: h.to});
    this.place();
  }

  leave() { if (this.held) this.end(this.held); this.place(); }

  end(h) { this.held = null; h.e.classList.remove('held', 'refused'); this.tell(''); }
}
