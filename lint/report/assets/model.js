
// The stage on which a kit stands: drawing, turning, steps. Nothing is drawn but when
// something changes.

document.documentElement.classList.add('live');

const clamp = (v, lo, hi) => Math.min(hi, Math.max(lo, v));
const calm = matchMedia('(prefers-reduced-motion: reduce)');

const faceShader = [`
attribute vec3 at, normal;
uniform mat4 view, pose;
uniform vec3 light;
varying float lum;
void main() {
  lum = .5 + .5 * dot((pose * vec4(normal, 0.)).xyz, light);
  gl_Position = view * pose * vec4(at, 1.);
}`, `
precision mediump float;
uniform vec3 lit, dim;
varying float lum;
void main() { gl_FragColor = vec4(mix(dim, lit, lum), 1.); }`];

// A line is a ribbon as wide on the screen as asked, drawn a little in front of the faces
// that it bounds.
const lineShader = [`
attribute vec3 from, to;
attribute vec2 side;
uniform mat4 view, pose;
uniform vec2 pixel;
uniform float wide;
void main() {
  vec4 a = view * pose * vec4(from, 1.), b = view * pose * vec4(to, 1.);
  vec2 d = (b.xy / b.w - a.xy / a.w) / pixel;
  d = length(d) > 1e-3 ? normalize(d) : vec2(1., 0.);
  vec4 p = side.x < .5 ? a : b;
  p.xy += (vec2(-d.y, d.x) * side.y + d * (side.x * 2. - 1.)) * wide * pixel * p.w;
  p.z -= 1e-3 * p.w;
  gl_Position = p;
}`, `
precision mediump float;
uniform vec3 ink;
void main() { gl_FragColor = vec4(ink, 1.); }`];

// Model is the stage and what steers it.
class Model {
  constructor(el) {
    this.el = el;
    const data = JSON.parse(el.querySelector('script').textContent), q = s => el.querySelector(s);
    this.stage = q('.stage'); this.canvas = q('canvas'); this.tags = q('.tags'); this.told = q('.told');
    this.step = q('input.step'); this.count = q('.count'); this.apart = q('input.apart'); this.play = q('button.play');
    this.part = q('select.part'); this.group = q('select.group'); this.numbers = q('input.numbers');
    this.gl = this.canvas.getContext('webgl', {antialias: true, alpha: false, stencil: true});
    if (!this.gl) return;
    this.shapes = data.shapes.map(s => new Shape(s, s.t));
    this.groups = data.groups.map(g => new Group(g, this.shapes));
    this.yaw = .55; this.pitch = .48;
    this.prepare();
    this.colours();
    this.listen();
    this.choose(0);
    new ResizeObserver(() => this.resize()).observe(this.stage);
  }

  // prepare makes what the context holds, once more after it was lost.
  prepare() {
    const gl = this.gl;
    const program = ([vertex, fragment], names, inputs) => {
      const p = gl.createProgram();
      for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
        const s = gl.createShader(kind);
        gl.shaderSource(s, text);
        gl.compileShader(s);
        gl.attachShader(p, s);
      }
      inputs.forEach(([name], i) => gl.bindAttribLocation(p, i, name));
      gl.linkProgram(p);
      if (!gl.getProgramParameter(p, gl.LINK_STATUS)) throw new Error(`no shaders: ${gl.getProgramInfoLog(p)}`);
      return {p, inputs, ...Object.fromEntries(names.map(n => [n, gl.getUniformLocation(p, n)]))};
    };
    this.faces = program(faceShader, ['view', 'pose', 'light', 'lit', 'dim'], [['at', 3], ['normal', 3]]);
    this.lines = program(lineShader, ['view', 'pose', 'pixel', 'wide', 'ink'], [['from', 3], ['to', 3], ['side', 2]]);
    const buffer = numbers => {
      const b = gl.createBuffer();
      gl.bindBuffer(gl.ARRAY_BUFFER, b);
      gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(numbers), gl.STATIC_DRAW);
      return {b, n: numbers.length};
    };
    this.made = this.shapes.map(s => ({faces: buffer(s.surface()), lines: buffer(s.edges())}));
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
  }

  // colours takes them from the look of the page, light or dark.
  colours() {
    const s = getComputedStyle(this.canvas), of = c => (c.match(/[\d.]+/g) || [0, 0, 0]).slice(0, 3).map(v => v / 255);
    const ink = of(s.color), sheet = of(s.backgroundColor), accent = of(s.caretColor), warm = of(s.outlineColor);
    const dark = sheet[0] + sheet[1] + sheet[2] < 1.5, black = [.05, .07, .07];
    const pair = (c, k) => dark ? [mix(sheet, c, k), mix(sheet, c, k * .38)] : [mix(sheet, c, k * .5), mix(c, black, .25)];
    this.look = {
      ground: sheet, edge: dark ? black : ink,
      plain: dark ? [mix(sheet, ink, .5), mix(sheet, ink, .16)] : [mix(sheet, [1, 1, 1], .5), mix(sheet, ink, .42)],
      fresh: pair(accent, .9), picked: pair(warm, .95),
    };
    this.draw();
  }

  // choose shows a group as it stands.
  choose(i) {
    this.stop();
    this.g = this.groups[i];
    this.done = -1;
    this.picked = -1;
    this.step.max = this.g.steps.length;
    this.apart.value = 0;
    this.part.length = 1;
    const seen = {};
    this.g.parts.forEach((p, k) => {
      const n = seen[p.n] = (seen[p.n] || 0) + 1, many = this.g.parts.filter(o => o.n === p.n).length;
      this.part.add(new Option(many > 1 ? `${p.n} (${n} of ${many})` : p.n, k));
    });
    this.tags.replaceChildren(...this.g.parts.map(p => Object.assign(document.createElement('span'), {textContent: p.n})));
    this.tell();
    this.settle(false);
    this.fit();
  }

  // settle brings the parts to where they belong: at once, or moving.
  settle(moving, coming = []) {
    const view = this.held || !this.eye ? this.eye : this.framed(), was = this.eye;
    const g = this.g, to = g.place(this.done, this.apart.value / 100), from = g.parts.map(p => p.off);
    cancelAnimationFrame(this.flight);
    this.flight = 0;
    for (const k of coming) {
      const s = g.steps[g.parts[k].born], l = Math.hypot(...s.back);
      from[k] = s.first ? to[k] : plus(to[k], s.a, -clamp(l, g.size * .3, g.size * 1.5));
    }
    if (!moving || calm.matches) {
      g.parts.forEach((p, k) => { p.off = to[k]; });
      this.eye = view;
      return this.draw();
    }
    const start = performance.now();
    const fly = now => {
      const t = clamp((now - start) / 550, 0, 1), k = 1 - (1 - t) ** 3;
      g.parts.forEach((p, i) => { p.off = mix(from[i], to[i], k); });
      if (!this.held && was) this.eye = {at: mix(was.at, view.at, k), far: was.far + (view.far - was.far) * k, zoom: was.zoom + (view.zoom - was.zoom) * k};
      this.flight = t < 1 ? requestAnimationFrame(fly) : 0;
      this.draw();
    };
    fly(start);
  }

  // go shows the kit after so many steps, from 1; beyond the last, the kit as it stands.
  go(n) {
    const was = this.done < 0 ? this.g.steps.length + 1 : this.done, last = this.g.steps.length;
    this.done = n > last || n < 0 ? -1 : Math.max(1, n);
    const fresh = this.done > 0 ? this.g.steps[this.done - 1].p : [];
    if (this.picked >= 0 && this.hidden(this.picked)) this.picked = -1;
    this.tell();
    const on = this.done === was + 1 || was > last && this.done === 1;
    this.settle(on, on ? fresh.filter(k => this.g.parts[k].born === this.done - 1) : []);
  }

  hidden(k) { return this.done >= 0 && this.g.parts[k].born >= this.done; }

  // tell says where the steps are, and what is picked.
  tell() {
    const all = this.g.steps.length, at = this.done < 0, s = this.g.steps[this.done - 1];
    this.step.min = all ? 1 : 0;
    this.step.value = at ? all : this.done;
    const words = at ? `All ${all} steps` : `Step ${this.done} of ${all}`;
    this.count.textContent = words;
    this.count.closest('.steps').hidden = !all; // nothing can be put in
    this.step.setAttribute('aria-valuetext', words);
    const p = this.g.parts[this.picked];
    this.part.value = p ? this.picked : '';
    this.told.textContent = p ? `Part ${p.n}${p.w}.` : at ? `${this.group ? `Group ${+this.group.value + 1}` : 'The kit'} as it stands, ${this.g.parts.length} parts.` : `${words}. ${s.w}`;
  }

  pick(k) {
    this.picked = k;
    if (k >= 0 && this.hidden(k)) this.go(this.g.parts[k].born + 1);
    this.tell();
    this.draw();
  }

  // run plays the steps one after the other.
  run() {
    if (this.playing) return this.stop();
    this.play.textContent = 'Pause';
    this.picked = -1;
    const next = () => {
      this.go(this.done < 0 ? 1 : this.done + 1);
      if (this.done < 0) this.stop();
    };
    this.playing = setInterval(next, 1800);
    next();
  }

  stop() {
    clearInterval(this.playing);
    this.playing = 0;
    this.play.textContent = 'Play';
  }

  // axes are what lies to the right, upwards, and towards the eye.
  axes() {
    const c = Math.cos(this.yaw), s = Math.sin(this.yaw), cp = Math.cos(this.pitch), sp = Math.sin(this.pitch);
    return [[c, s, 0], [-s * sp, c * sp, cp], [s * cp, -c * cp, sp]];
  }

  // fit looks at all parts where they belong.
  fit() {
    this.held = false;
    this.eye = this.framed();
    this.draw();
  }

  // framed returns from where all parts are in sight: the place looked at, how far from it
  // the eye is, and how many pixels a mm is there.
  framed() {
    const g = this.g, off = g.place(this.done, this.apart.value / 100), lo = [Infinity, Infinity, Infinity], hi = lo.map(v => -v);
    const corners = g.parts.flatMap((p, k) => Array.from({length: 8}, (_, i) => plus([0, 1, 2].map(n => (i >> n & 1 ? p.hi : p.lo)[n]), off[k])));
    for (const v of corners) for (let k = 0; k < 3; k++) { lo[k] = Math.min(lo[k], v[k]); hi[k] = Math.max(hi[k], v[k]); }
    const middle = mix(lo, hi, .5), far = 2.5 * Math.hypot(...plus(hi, lo, -1)) || 1;
    const [r, u, e] = this.axes(), wide = [Infinity, -Infinity], high = [Infinity, -Infinity];
    for (const v of corners) {
      const d = plus(v, middle, -1), k = 1 / (1 - dot(d, e) / far), x = dot(d, r) * k, y = dot(d, u) * k;
      wide[0] = Math.min(wide[0], x); wide[1] = Math.max(wide[1], x); high[0] = Math.min(high[0], y); high[1] = Math.max(high[1], y);
    }
    const zoom = .9 * Math.min((this.w || 1) / (wide[1] - wide[0] || 1), (this.h || 1) / (high[1] - high[0] || 1));
    this.most = zoom * 40; this.least = zoom / 4;
    return {at: plus(plus(middle, r, (wide[0] + wide[1]) / 2), u, (high[0] + high[1]) / 2), far, zoom};
  }

  // closer zooms about a place of the stage, in pixels from its middle.
  closer(k, x = 0, y = 0) {
    const was = this.eye.zoom, [r, u] = this.axes();
    this.eye.zoom = clamp(was * k, this.least, this.most);
    const by = 1 / was - 1 / this.eye.zoom;
    this.eye.at = plus(plus(this.eye.at, r, x * by), u, -y * by);
    this.held = true;
    this.draw();
  }

  turn(x, y) {
    this.yaw -= x;
    this.pitch = clamp(this.pitch + y, -1.57, 1.57);
    if (!this.held) { // a long kit seen from its side needs more room
      const f = this.framed();
      this.eye = {...f, zoom: Math.min(f.zoom, this.eye.zoom)};
    }
    this.draw();
  }

  shift(x, y) {
    const [r, u] = this.axes();
    this.eye.at = plus(plus(this.eye.at, r, -x / this.eye.zoom), u, y / this.eye.zoom);
    this.held = true;
    this.draw();
  }

  resize() {
    this.w = this.stage.clientWidth;
    this.h = this.stage.clientHeight;
    if (!this.w || !this.h) return;
    if (!this.held) this.fit();
    this.draw();
  }

  draw() {
    if (!this.frame) this.frame = requestAnimationFrame(() => { this.frame = 0; this.paint(); });
  }

  paint() {
    const gl = this.gl, g = this.g, look = this.look, ratio = Math.min(devicePixelRatio || 1, 3);
    if (!this.w || gl.isContextLost()) return;
    const w = Math.round(this.w * ratio), h = Math.round(this.h * ratio);
    if (this.canvas.width !== w || this.canvas.height !== h) { this.canvas.width = w; this.canvas.height = h; }
    gl.viewport(0, 0, w, h);
    gl.clearColor(...look.ground, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    gl.enable(gl.STENCIL_TEST); // where the picked part is in sight
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.REPLACE);
    const [r, u, e] = this.axes(), view = this.view(r, u, e), light = [-.5, .72, .48];
    const shown = g.parts.flatMap((p, k) => this.hidden(k) ? [] : [k]), fresh = this.done > 0 ? g.steps[this.done - 1].p : [];
    for (const [kind, at] of [['faces', this.faces], ['lines', this.lines]]) {
      gl.useProgram(at.p);
      gl.uniformMatrix4fv(at.view, false, view);
      for (let i = 0; i < 3; i++) gl[at.inputs[i] ? 'enableVertexAttribArray' : 'disableVertexAttribArray'](i);
      if (kind === 'faces') gl.uniform3fv(at.light, plus(plus(r.map(v => v * light[0]), u, light[1]), e, light[2]));
      else { gl.disable(gl.STENCIL_TEST); gl.uniform2f(at.pixel, 2 / w, 2 / h); gl.uniform3fv(at.ink, look.edge); }
      for (const k of shown) {
        const p = g.parts[k], [lit, dim] = k === this.picked ? look.picked : fresh.includes(k) ? look.fresh : look.plain;
        if (kind === 'faces') { gl.uniform3fv(at.lit, lit); gl.uniform3fv(at.dim, dim); gl.stencilFunc(gl.ALWAYS, k === this.picked ? 1 : 0, 255); } else gl.uniform1f(at.wide, (k === this.picked ? 1 : .55) * ratio);
        this.piece(p, at, this.made[p.s][kind]);
      }
    }
    if (shown.includes(this.picked)) this.outline(g.parts[this.picked], ratio);
    this.label(shown, fresh);
    this.el.classList.add('drawn');
  }

  // piece draws the faces or the lines of a part where it is.
  piece(p, at, {b, n}) {
    const gl = this.gl, m = p.m, o = p.off, step = at.inputs.reduce((n, [, size]) => n + size, 0);
    gl.bindBuffer(gl.ARRAY_BUFFER, b);
    let from = 0;
    at.inputs.forEach(([, size], i) => { gl.vertexAttribPointer(i, size, gl.FLOAT, false, step * 4, from * 4); from += size; });
    gl.uniformMatrix4fv(at.pose, false, [m[0], m[4], m[8], 0, m[1], m[5], m[9], 0, m[2], m[6], m[10], 0, m[3] + o[0], m[7] + o[1], m[11] + o[2], 1]);
    gl.drawArrays(gl.TRIANGLES, 0, n / step);
  }

  // outline draws the lines of a part that others hide, in its colour, and not those on its
  // own far side.
  outline(p, ratio) {
    const gl = this.gl;
    gl.enable(gl.STENCIL_TEST);
    gl.stencilFunc(gl.EQUAL, 0, 255);
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
    gl.depthFunc(gl.GREATER);
    gl.uniform3fv(this.lines.ink, this.look.picked[0]);
    gl.uniform1f(this.lines.wide, .7 * ratio);
    this.piece(p, this.lines, this.made[p.s].lines);
    gl.depthFunc(gl.LESS);
  }

  // view is the matrix from the kit to the screen, column by column.
  view(r, u, e) {
    const c = this.eye.at, s = this.eye.zoom * this.eye.far * 2, depths = this.g.parts.map(p => dot(plus(plus(p.middle, p.off), c, -1), e));
    const reach = this.g.size, near = Math.max(this.eye.far * .02, this.eye.far - Math.max(...depths) - reach), far = this.eye.far - Math.min(...depths) + reach;
    const row = (v, k) => [...v.map(x => x * k), -dot(v, c) * k], d = [...e.map(v => -v), this.eye.far + dot(e, c)];
    const a = (far + near) / (far - near), z = d.map(v => v * a);
    z[3] -= 2 * far * near / (far - near);
    const rows = [row(r, s / this.w), row(u, s / this.h), z, d];
    return [0, 1, 2, 3].flatMap(i => rows.map(x => x[i]));
  }

  // ray returns the eye and the way from it through a place of the stage.
  ray(x, y) {
    const [r, u, e] = this.axes(), s = this.eye.zoom * this.eye.far;
    return [plus(this.eye.at, e, this.eye.far), plus(plus(e.map(v => -v), r, (x - this.w / 2) / s), u, (this.h / 2 - y) / s)];
  }

  // met returns the first part in sight along a ray, -1 for none.
  met(eye, way) {
    let best = Infinity, found = -1;
    this.g.parts.forEach((p, k) => {
      if (this.hidden(k)) return;
      const c = plus(plus(p.middle, p.off), eye, -1), t = dot(c, way) / dot(way, way);
      if (Math.hypot(...plus(c, way, -t)) > p.radius) return;
      const at = p.shape.hit(turnedBack(p.m, plus(plus(eye, p.off, -1), [p.m[3], p.m[7], p.m[11]], -1)), turnedBack(p.m, way));
      if (at < best) { best = at; found = k; }
    });
    return found;
  }

  // label puts numbers on parts that can be seen, where they do not cover each other.
  label(shown, fresh) {
    this.tags.hidden = !this.numbers.checked;
    if (this.tags.hidden) return;
    const [r, u, e] = this.axes(), eye = plus(this.eye.at, e, this.eye.far), taken = [];
    this.g.parts.forEach((p, k) => {
      const tag = this.tags.children[k], z = dot(turned(p.m, [0, 0, 1]), plus(plus(p.middle, p.off), eye, -1)) < 0 ? p.shape.z : 0;
      tag.className = fresh.includes(k) ? 'new' : '';
      tag.hidden = this.hidden(k) || !p.shape.spots.some(s => {
        const v = plus(plus(put(p.m, [...s, z]), p.off), this.eye.at, -1), f = this.eye.zoom / (1 - dot(v, e) / this.eye.far);
        const x = this.w / 2 + dot(v, r) * f, y = this.h / 2 - dot(v, u) * f, half = 6 + 4 * Math.min(p.n.length, 16);
        if (taken.some(t => Math.abs(t.x - x) < t.half + half && Math.abs(t.y - y) < 20) || this.met(...this.ray(x, y)) !== k) return false;
        taken.push({x, y, half});
        tag.style.transform = `translate(${x.toFixed(1)}px,${y.toFixed(1)}px) translate(-50%,-50%)`;
        return true;
      });
    });
  }

  listen() {
    const held = new Map(), stage = this.stage;
    let moved = 0;
    const at = e => { const b = this.canvas.getBoundingClientRect(); return [e.clientX - b.left, e.clientY - b.top]; };
    stage.addEventListener('pointerdown', e => {
      if (!held.size) moved = 0;
      held.set(e.pointerId, at(e));
      stage.setPointerCapture(e.pointerId);
      stage.classList.add('held');
    });
    stage.addEventListener('pointermove', e => {
      const was = held.get(e.pointerId), now = at(e);
      if (!was) return;
      const dx = now[0] - was[0], dy = now[1] - was[1];
      moved += Math.hypot(dx, dy);
      held.set(e.pointerId, now);
      if (held.size === 2) {
        const other = [...held].find(([id]) => id !== e.pointerId)[1];
        const k = Math.hypot(now[0] - other[0], now[1] - other[1]) / (Math.hypot(was[0] - other[0], was[1] - other[1]) || 1);
        this.shift(dx / 2, dy / 2);
        this.closer(k || 1, (now[0] + other[0] - this.w) / 2, (now[1] + other[1] - this.h) / 2);
      } else if (e.shiftKey || e.buttons & 6) this.shift(dx, dy);
      else if (moved > 4) this.turn(dx * .009, dy * .009);
    });
    const drop = e => {
      if (held.delete(e.pointerId) && !held.size) stage.classList.remove('held');
      if (e.type === 'pointerup' && moved <= 4 && e.button === 0) this.pick(this.met(...this.ray(...at(e))));
    };
    for (const kind of ['pointerup', 'pointercancel']) stage.addEventListener(kind, drop);
    stage.addEventListener('contextmenu', e => { if (moved > 4) e.preventDefault(); });
    stage.addEventListener('dblclick', () => this.fit());
    stage.addEventListener('wheel', e => {
      e.preventDefault();
      const [x, y] = at(e);
      this.closer(Math.exp(-clamp(e.deltaY * [1, 30, 300][e.deltaMode], -300, 300) * .0016), x - this.w / 2, y - this.h / 2);
    }, {passive: false});
    stage.addEventListener('keydown', e => {
      if (e.ctrlKey || e.metaKey || e.altKey) return;
      const act = {ArrowLeft: () => this.turn(-.13, 0), ArrowRight: () => this.turn(.13, 0), ArrowUp: () => this.turn(0, -.13), ArrowDown: () => this.turn(0, .13),
        '+': () => this.closer(1.2), '=': () => this.closer(1.2), '-': () => this.closer(1 / 1.2), 0: () => this.fit()}[e.key];
      if (!act) return;
      e.preventDefault();
      act();
    });
    this.el.addEventListener('click', e => {
      const act = {back: () => { this.stop(); this.go((this.done < 0 ? this.g.steps.length + 1 : this.done) - 1 || 1); }, on: () => { this.stop(); this.go(this.done < 0 ? 1 : this.done + 1); },
        in: () => this.closer(1.3), out: () => this.closer(1 / 1.3), fit: () => this.fit(), play: () => this.run()}[e.target.dataset.do];
      if (act) act();
    });
    this.step.addEventListener('input', () => { this.stop(); this.picked = -1; this.go(+this.step.value); });
    this.apart.addEventListener('input', () => this.settle(false));
    this.part.addEventListener('change', () => this.pick(this.part.value === '' ? -1 : +this.part.value));
    this.numbers.addEventListener('change', () => this.draw());
    if (this.group) this.group.addEventListener('change', () => this.choose(+this.group.value));
    this.canvas.addEventListener('webglcontextlost', e => { e.preventDefault(); this.el.classList.remove('drawn'); });
    this.canvas.addEventListener('webglcontextrestored', () => { this.prepare(); this.draw(); });
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.colours());
  }
}

for (const el of document.querySelectorAll('.model')) new Model(el);
