// Opens a page with a kit in space in a browser: that it is drawn, turns, zooms, goes
// through its steps and comes apart, that a part can be picked by pointer and by keys,
// that the still picture stays where nothing can be drawn, that nothing is fetched, and
// (with axe-core) that people who cannot see or point can use it.
//
//   node model.mjs PAGE.html [PICTURES [NAME=OTHER.html ...]]
//
// The kit must have several groups. Of the others pictures are taken, to be looked at.
// Needs playwright-core and axe-core; CHROMIUM names the browser.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const {chromium} = need('playwright-core');
const axe = readFileSync(need.resolve('axe-core/axe.min.js'), 'utf8');
const href = path => pathToFileURL(resolve(path)).href;
const [file, pictures, ...others] = process.argv.slice(2), url = href(file);
const launch = (...args) => chromium.launch({executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox', ...args]});
const browser = await launch('--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist');
const scales = await (await browser.newContext()).newPage();
let failed = 0;
const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };

const wrong = [];
async function open(options, from = browser, at = url) {
  const context = await from.newContext({viewport: {width: 1280, height: 900}, reducedMotion: 'reduce', ...options});
  const p = await context.newPage();
  p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  p.on('pageerror', e => wrong.push(String(e)));
  p.on('console', m => { if (['error', 'warning'].includes(m.type()) && !/GPU stall|software WebGL/i.test(m.text())) wrong.push(m.text()); });
  p.on('request', r => { if (r.url() !== at) wrong.push(`asks for ${r.url()}`); });
  await p.addInitScript(() => {
    window.draws = 0;
    const draw = WebGLRenderingContext.prototype.drawArrays;
    WebGLRenderingContext.prototype.drawArrays = function (...args) { window.draws++; return draw.apply(this, args); };
  });
  await p.goto(at);
  return p;
}
const drawn = p => p.waitForFunction(() => document.querySelector('.model').classList.contains('drawn'));

// rest waits until nothing has been drawn for a while.
async function rest(p) {
  for (let was = -1, now = 0; was !== now;) {
    was = await p.evaluate(() => window.draws);
    await p.waitForTimeout(200);
    now = await p.evaluate(() => window.draws);
  }
}

// picture returns what the stage shows: a sum to compare it by, how many colours it has,
// and the share of places that are not of the ground.
async function picture(p) {
  await rest(p);
  const text = (await p.locator('.model .stage').screenshot()).toString('base64');
  const ground = await p.locator('.model canvas').evaluate(c => getComputedStyle(c).backgroundColor);
  return scales.evaluate(async ({text, ground}) => {
    const image = await createImageBitmap(new Blob([Uint8Array.from(atob(text), c => c.charCodeAt(0))]));
    const c = new OffscreenCanvas(image.width, image.height).getContext('2d');
    c.fillStyle = ground;
    c.fillRect(0, 0, 1, 1);
    const empty = new Uint32Array(c.getImageData(0, 0, 1, 1).data.buffer)[0];
    c.drawImage(image, 0, 0);
    const d = new Uint32Array(c.getImageData(4, 4, image.width - 8, image.height - 8).data.buffer), seen = new Map();
    let sum = 0;
    for (const v of d) { sum = (Math.imul(sum, 31) + v) | 0; seen.set(v, (seen.get(v) || 0) + 1); }
    return {sum, colours: seen.size, covered: 1 - (seen.get(empty) || 0) / d.length};
  }, {text, ground});
}
const told = p => p.locator('.model .told').textContent();

const p = await open({});
await drawn(p);
check(!await p.locator('.model .still').isVisible() && await p.locator('.model .controls').isVisible(), 'the model takes the place of the still picture');
const first = await picture(p);
check(first.colours > 20 && first.covered > .05, `something is drawn: ${first.colours} colours on ${Math.round(100 * first.covered)} % of the stage`);
const still = await p.evaluate(() => window.draws);
await p.waitForTimeout(600);
check(await p.evaluate(() => window.draws) === still, 'nothing is drawn while nothing changes');

let last = first;
// changes does something and checks that another picture comes of it.
async function changes(what, act) {
  await act();
  const now = await picture(p);
  check(now.sum !== last.sum && now.colours > 10, what);
  last = now;
}
await p.locator('.model .stage').focus();
for (const key of ['ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', '+', '-']) await changes(`${key} changes the view`, () => p.keyboard.press(key));
const box = await p.locator('.model .stage').boundingBox(), cx = box.x + box.width / 2, cy = box.y + box.height / 2;
await changes('dragging turns it', async () => {
  await p.mouse.move(cx, cy);
  await p.mouse.down();
  await p.mouse.move(cx + 90, cy + 30, {steps: 4});
  await p.mouse.up();
});
check(/as it stands/.test(await told(p)), 'dragging picks nothing');
await changes('the wheel zooms', () => p.mouse.wheel(0, -300));
check(last.covered > first.covered, 'the wheel zooms in');
await changes('a double click shows all', () => p.mouse.dblclick(box.x + 12, box.y + 12));
await changes('apart, the parts stand elsewhere', async () => { await p.locator('.model .apart').focus(); await p.keyboard.press('End'); });
await changes('numbers can be shown', () => p.locator('.model .numbers').check());
check(await p.locator('.model .tags span:visible').count() > 3, 'numbers stand on the parts');
await changes('and put together again', async () => { await p.locator('.model .apart').focus(); await p.keyboard.press('Home'); });
await p.locator('.model .numbers').uncheck();

// Steps: by the slider, by the buttons, one after the other.
const slider = p.locator('.model .step'), steps = +await slider.getAttribute('max');
await slider.focus();
await changes('the first step shows less', () => p.keyboard.press('Home'));
check((await slider.getAttribute('aria-valuetext')) === `Step 1 of ${steps}` && /^Step 1 of/.test(await told(p)), 'the slider says where the steps are');
for (let i = 2; i <= steps; i++) await changes(`step ${i} brings something in: ${(await told(p)).slice(0, 60)}`, () => p.locator('.model [data-do=on]').click());
await changes('after the last step the kit stands', () => p.locator('.model [data-do=on]').click());
check(/as it stands/.test(await told(p)), 'which is told');
await changes('a step back', () => p.locator('.model [data-do=back]').click());

// Parts: by the pointer, and by keys.
await p.locator('.model [data-do=fit]').click();
let hit = '';
for (let i = 0; i < 60 && !hit; i++) {
  await p.mouse.click(box.x + box.width * (.3 + .4 * (i * .618 % 1)), box.y + box.height * (.2 + .6 * i / 60));
  hit = await told(p);
  if (!hit.startsWith('Part ') || / goes? in /.test(hit)) hit = '';
}
check(/^Part \d+.*mm/.test(hit) && await p.locator('.model .part').inputValue() !== '', `a click on a part tells what it is: ${hit}`);
last = await picture(p);
await changes('a part chosen by its number is marked', () => p.locator('.model .part').selectOption({index: 1}));
check(/^Part /.test(await told(p)), 'and told');
await changes('another group', () => p.locator('.model .group').selectOption({index: 1}));
check(await p.locator('.model .part option').count() > 1 && +await slider.getAttribute('max') > 0, 'has parts and steps of its own');

// A picture lost with its context comes back.
await p.evaluate(() => { window.loss = document.querySelector('.model canvas').getContext('webgl').getExtension('WEBGL_lose_context'); window.loss.loseContext(); });
await p.waitForFunction(() => !document.querySelector('.model').classList.contains('drawn'));
check(await p.locator('.model .still').isVisible(), 'the still picture stands in for a lost one');
await p.evaluate(() => window.loss.restoreContext());
await drawn(p);
check((await picture(p)).sum === last.sum, 'the same picture comes back');
await p.emulateMedia({media: 'print'});
check(await p.locator('.model .still').isVisible() && !await p.locator('.model .stage').isVisible() && !await p.locator('.model .controls').isVisible(), 'on paper stands the still picture');
await p.context().close();

// Steps move, unless less motion is asked for.
for (const [motion, moves] of [['no-preference', true], ['reduce', false]]) {
  const q = await open({reducedMotion: motion});
  await drawn(q);
  await q.locator('.model .step').focus();
  await q.keyboard.press('Home');
  await rest(q);
  const frames = await q.evaluate(() => new Promise(done => {
    let n = 0, was = window.draws;
    document.querySelector('[data-do=on]').click();
    const tick = () => { if (window.draws !== was) { n++; was = window.draws; } requestAnimationFrame(tick); };
    requestAnimationFrame(tick);
    setTimeout(() => done(n), 1500);
  }));
  check(moves ? frames > 2 : frames === 1, `motion ${motion}: a step takes ${frames} pictures`);
  await q.locator('.model .play').click();
  check(await q.locator('.model .play').textContent() === 'Pause', 'it plays');
  await q.locator('.model .play').click();
  check(await q.locator('.model .play').textContent() === 'Play', 'and pauses');
  await q.context().close();
}

const small = {viewport: {width: 360, height: 740}, hasTouch: true, isMobile: true, deviceScaleFactor: 2};
for (const [what, options] of [['light', {}], ['dark', {colorScheme: 'dark'}], ['phone', small]]) {
  const q = await open({bypassCSP: true, ...options});
  await drawn(q);
  await q.locator('.model .numbers').check();
  await q.locator('.model [data-do=on]').click();
  await rest(q);
  await q.evaluate(axe);
  const found = (await q.evaluate(() => window.axe.run())).violations;
  check(!found.length, `axe-core, ${what}: ${found.map(v => `${v.id} (${v.nodes.length}: ${v.nodes[0].target})`).join(', ') || 'no violation'}`);
  check(await q.evaluate(() => document.documentElement.scrollWidth <= innerWidth && [...document.querySelectorAll('.model *')].every(e => e.closest('.tags,.still,script') || e.matches('.hush') || e.getBoundingClientRect().right <= innerWidth)), `${what}: nothing sticks out sideways`);
  await q.context().close();
}

// Two fingers.
const touch = await open(small);
await drawn(touch);
const narrow = await picture(touch), cdp = await touch.context().newCDPSession(touch), t = await touch.locator('.model .stage').boundingBox();
await cdp.send('Input.synthesizePinchGesture', {x: Math.round(t.x + t.width / 2), y: Math.round(t.y + t.height / 2), scaleFactor: 1.6, gestureSourceType: 'touch'});
check((await picture(touch)).covered > narrow.covered, 'two fingers zoom in');
await touch.context().close();

// Where nothing can be drawn in space, the still picture stays.
const flat = await launch('--disable-3d-apis');
for (const [what, from, options] of [['without WebGL', flat, {}], ['without scripts', browser, {javaScriptEnabled: false}]]) {
  const q = await open(options, from);
  await q.waitForTimeout(300);
  check(await q.locator('.model .still').isVisible() && !await q.locator('.model .stage').isVisible() && !await q.locator('.model .controls').isVisible(), `${what} the still picture stays, alone`);
  await q.context().close();
}
await flat.close();
check(!wrong.length, `nothing goes wrong on the way: ${wrong.join('; ') || 'nothing'}`);

if (pictures) {
  for (const [name, path] of [['model', file], ...others.map(o => o.split('='))]) {
    for (const [look, options] of [['light', {}], ['dark', {colorScheme: 'dark'}], ['phone', small]]) {
      const q = await open(options, browser, href(path));
      await drawn(q);
      const shot = async n => { await rest(q); await q.locator('.model').screenshot({path: join(pictures, `${name}-${look}-${n}.png`)}); };
      await shot('stands');
      await q.locator('.model .step').fill(String(Math.ceil(+await q.locator('.model .step').getAttribute('max') * .7)));
      await shot('step');
      await q.locator('.model .numbers').check();
      await q.locator('.model .step').fill(await q.locator('.model .step').getAttribute('max'));
      await q.locator('.model .apart').fill('100');
      await shot('apart');
      await q.context().close();
    }
  }
}
await browser.close();
process.exit(failed ? 1 : 0);
