'use strict';
// A kit in space: plates made of the data in the page, how they go together, and how far
// they are drawn apart. Lengths are mm, z is up, and the front is where y is least.

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const plus = (a, b, k = 1) => [a[0] + b[0] * k, a[1] + b[1] * k, a[2] + b[2] * k];
const mix = (a, b, k) => a.map((v, i) => v + (b[i] - v) * k);

// turned and put apply a pose of three rows of four to a direction and to a place.
const turned = (m, v) => [0, 4, 8].map(i => m[i] * v[0] + m[i + 1] * v[1] + m[i + 2] * v[2]);
const put = (m, v) => plus(turned(m, v), [m[3], m[7], m[11]]);
const turnedBack = (m, v) => [0, 1, 2].map(i => m[i] * v[0] + m[i + 4] * v[1] + m[i + 8] * v[2]);

// Shape is a plate as it lies: rings of points, the triangles of its face, and where a
// number can stand on it.
class Shape {
  constructor(data, thickness) {
    this.z = thickness;
    this.flat = [];
    for (let i = 0, x = 0, y = 0; i < data.v.length; i += 2) this.flat.push([(x += data.v[i]) / 100, (y += data.v[i + 1]) / 100]);
    this.rings = [];
    let at = 0, named = 0;
    for (const n of data.r) this.rings.push(this.flat.slice(at, at += n));
    this.faces = [];
    for (let i = 0; i < data.f.length; i += 3) this.faces.push([0, 1, 2].map(k => this.flat[named += data.f[i + k]]));
    const size = ([a, b, c]) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    this.spots = this.faces.map(t => [size(t), [0, 1].map(k => (t[0][k] + t[1][k] + t[2][k]) / 3)])
      .sort((a, b) => b[0] - a[0]).slice(0, 8).map(s => s[1]);
    this.lo = [0, 1].map(k => this.flat.reduce((m, p) => Math.min(m, p[k]), Infinity)).concat(0);
    this.hi = [0, 1].map(k => this.flat.reduce((m, p) => Math.max(m, p[k]), -Infinity)).concat(thickness);
  }

  // surface returns places with the direction out of the plate, three to a triangle.
  surface() {
    const all = [], add = (p, z, n) => all.push(p[0], p[1], z, ...n), up = [0, 0, 1], down = [0, 0, -1];
    for (const [a, b, c] of this.faces) {
      for (const p of [a, b, c]) add(p, this.z, up);
      for (const p of [c, b, a]) add(p, 0, down);
    }
    this.rings.forEach((ring, k) => {
      let area = 0;
      ring.forEach((p, i) => { const q = ring[(i + 1) % ring.length]; area += p[0] * q[1] - p[1] * q[0]; });
      const way = (area > 0) === (k === 0) ? 1 : -1;
      ring.forEach((p, i) => {
        const q = ring[(i + 1) % ring.length], l = Math.hypot(q[0] - p[0], q[1] - p[1]) || 1;
        const n = [way * (q[1] - p[1]) / l, way * (p[0] - q[0]) / l, 0];
        for (const [r, z] of [[p, 0], [q, 0], [q, this.z], [p, 0], [q, this.z], [p, this.z]]) add(r, z, n);
      });
    });
    return all;
  }

  // edges returns the rims of both faces and the corners between them, as ribbons.
  edges() {
    const all = [];
    const line = (a, za, b, zb) => {
      for (const s of [[0, -1], [0, 1], [1, 1], [0, -1], [1, 1], [1, -1]]) all.push(a[0], a[1], za, b[0], b[1], zb, ...s);
    };
    for (const ring of this.rings) {
      ring.forEach((p, i) => {
        const q = ring[(i + 1) % ring.length], o = ring[(i + ring.length - 1) % ring.length];
        line(p, 0, q, 0);
        line(p, this.z, q, this.z);
        const a = [p[0] - o[0], p[1] - o[1]], b = [q[0] - p[0], q[1] - p[1]];
        if (a[0] * b[0] + a[1] * b[1] < .87 * Math.hypot(...a) * Math.hypot(...b)) line(p, 0, p, this.z);
      });
    }
    return all;
  }

  // hit returns how far along a ray the plate is met, Infinity for never.
  hit(from, way) {
    let best = Infinity;
    for (const z of [0, this.z]) {
      const t = (z - from[2]) / way[2];
      if (t > 0 && t < best && this.covers(from[0] + t * way[0], from[1] + t * way[1])) best = t;
    }
    for (const ring of this.rings) {
      for (let i = 0, p = ring[ring.length - 1]; i < ring.length; p = ring[i++]) {
        const ex = ring[i][0] - p[0], ey = ring[i][1] - p[1], px = p[0] - from[0], py = p[1] - from[1];
        const d = way[0] * ey - way[1] * ex, t = (px * ey - py * ex) / d, s = (px * way[1] - py * way[0]) / d;
        if (t > 0 && t < best && s >= 0 && s <= 1 && Math.abs(from[2] + t * way[2] - this.z / 2) <= this.z / 2) best = t;
      }
    }
    return best;
  }

  covers(x, y) {
    let inside = false;
    for (const ring of this.rings) {
      for (let i = 0, p = ring[ring.length - 1]; i < ring.length; p = ring[i++]) {
        const q = ring[i];
        if (p[1] > y !== q[1] > y && x < p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0])) inside = !inside;
      }
    }
    return inside;
  }
}

// Group is what stands together: parts in place, and how far each is drawn back when all
// is apart, so that none hides in another.
class Group {
  constructor(data, shapes) {
    this.steps = data.steps;
    this.parts = data.parts.map(p => {
      const shape = shapes[p.s], lo = [Infinity, Infinity, Infinity], hi = lo.map(v => -v);
      for (let i = 0; i < 8; i++) {
        const v = put(p.m, [0, 1, 2].map(k => (i >> k & 1 ? shape.hi : shape.lo)[k]));
        for (let k = 0; k < 3; k++) { lo[k] = Math.min(lo[k], v[k]); hi[k] = Math.max(hi[k], v[k]); }
      }
      return {...p, shape, lo, hi, middle: mix(lo, hi, .5), radius: Math.hypot(...plus(hi, lo, -1)) / 2, apart: [0, 0, 0], born: -1, off: [0, 0, 0]};
    });
    this.steps.forEach((s, i) => { for (const k of s.p) if (this.parts[k].born < 0) this.parts[k].born = i; });
    this.size = Math.max(...this.parts.map(p => p.radius));
    this.spread(-1, this.parts.filter(p => p.born < 0));
  }

  // spread draws the parts of steps back, one step after the other, past what stands.
  spread(of, standing) {
    this.steps.forEach((s, i) => {
      if (s.of !== of) return;
      this.spread(i, []);
      const parts = s.p.map(k => this.parts[k]), back = s.a.map(v => -v);
      let far = 0;
      if (!s.first) for (const a of parts) for (const b of standing) far = Math.max(far, this.clears(a, b, back));
      s.back = back.map(v => v * far);
      for (const p of parts) p.apart = plus(p.apart, s.back);
      standing.push(...parts);
    });
  }

  // clears returns how far a goes until its box has passed that of b.
  clears(a, b, way) {
    let enter = 0, leave = Infinity;
    for (let k = 0; k < 3; k++) {
      const lo = b.lo[k] + b.apart[k] - a.hi[k] - a.apart[k], hi = b.hi[k] + b.apart[k] - a.lo[k] - a.apart[k];
      if (Math.abs(way[k]) < 1e-6) { if (lo > -.05 || hi < .05) return 0; continue; }
      const t = [lo / way[k], hi / way[k]].sort((x, y) => x - y);
      enter = Math.max(enter, t[0]);
      leave = Math.min(leave, t[1]);
    }
    return leave > enter ? leave + this.size * .3 : 0;
  }

  // place says where parts belong when so many steps are done, -1 for the whole kit: what
  // is joined before waits outside.
  place(done, apart) {
    return this.parts.map(p => {
      let v = p.apart.map(x => x * apart);
      if (done >= 0 && p.born >= 0) for (let i = this.steps[p.born].of; i >= 0; i = this.steps[i].of) if (i >= done) v = plus(v, this.steps[i].back, 1 - apart);
      return v;
    });
  }
}
