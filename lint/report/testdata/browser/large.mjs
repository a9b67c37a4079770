// Opens reports on large drawings in a browser: that they open, that a click on
// a finding flies there, that the lists hold every finding, and how smoothly all
// that goes. Also takes pictures of reports, to be looked at.
//
//   node large.mjs MANY.html PIECES.html PICTURES [NAME=REPORT.html ...]
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const {chromium} = need('playwright-core');
const axe = readFileSync(need.resolve('axe-core/axe.min.js'), 'utf8');
const [many, pieces, pictures, ...others] = process.argv.slice(2);
const browser = await chromium.launch({executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox']});
let failed = 0;
const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };
const href = path => pathToFileURL(resolve(path)).href;
const view = p => p.evaluate(() => document.querySelector('.file:not([hidden]) .board svg').getAttribute('viewBox').split(' ').map(Number));

// frames does something and returns the frames that were drawn meanwhile, ms.
async function frames(p, act, wait) {
  await p.evaluate(() => {
    window.drawn = [];
    let last = performance.now();
    const tick = t => {
      if (!window.drawn) return;
      window.drawn.push(t - last);
      last = t;
      requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
  });
  await act();
  await p.waitForTimeout(wait);
  return p.evaluate(() => { const d = window.drawn; window.drawn = null; return d; });
}
const told = d => `${d.length} frames, the longest ${Math.round(Math.max(...d))} ms, the middle one ${Math.round(d.toSorted((a, b) => a - b)[d.length >> 1])} ms`;

for (const [path, what] of [[many, '300 parts with 2,100 flaws'], [pieces, '100,000 pieces']]) {
  const context = await browser.newContext({viewport: {width: 1280, height: 860}, hasTouch: true});
  const p = await context.newPage();
  p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  const wrong = [];
  p.on('pageerror', e => wrong.push(String(e)));
  const before = Date.now();
  await p.goto(href(path));
  await p.waitForFunction(() => document.documentElement.classList.contains('live'));
  console.log(`     ${what}: ${(readFileSync(path).length / 1e6).toFixed(1)} MB, open after ${Date.now() - before} ms`);
  const whole = await view(p);
  // The last group is of flaws of single parts; the first may be of the sheet.
  const group = p.locator('.list .rule').last();
  if (!await group.evaluate(g => g.open)) await group.locator('summary').click();
  const row = group.locator('.rows .go').first();
  let d = await frames(p, () => row.click(), 900);
  console.log(`     ${what}: flying to a finding: ${told(d)}`);
  const v = await view(p), [x, y] = (await row.getAttribute('data-go')).split(' ').map(Number);
  check(v[2] < whole[2] && x > v[0] && x < v[0] + v[2] && y > v[1] && y < v[1] + v[3], `${what}: a click flies to the place`);
  await p.keyboard.press('0');
  await p.waitForTimeout(900);
  const box = await p.locator('.board').first().boundingBox();
  await p.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  d = await frames(p, async () => { for (let i = 0; i < 10; i++) { await p.mouse.wheel(0, -60); await p.waitForTimeout(30); } }, 300);
  console.log(`     ${what}: zooming by the wheel: ${told(d)}`);
  check((await view(p))[2] < whole[2], `${what}: the wheel zooms in`);
  const wheeled = await view(p);
  const cdp = await context.newCDPSession(p);
  await cdp.send('Input.synthesizePinchGesture', {x: Math.round(box.x + box.width / 2), y: Math.round(box.y + box.height / 2), scaleFactor: 2, gestureSourceType: 'touch'});
  await p.waitForTimeout(300);
  check((await view(p))[2] < wheeled[2], `${what}: two fingers zoom in`);
  check(wrong.length === 0, `${what}: nothing goes wrong ${wrong.join('; ')}`);
  if (path === many) {
    const all = await p.evaluate(() => {
      let n = document.querySelectorAll('.list .rows .go').length;
      for (const t of document.querySelectorAll('.list template.rest')) n += t.content.querySelectorAll('.go').length;
      return n;
    });
    check(all >= 2000, `${all} findings stand in the page`);
  }
  await context.close();
}

// Pictures, and no barriers on the pages that the other tests do not open.
for (const other of others) {
  const [name, path] = other.split('=');
  for (const [how, options] of [['light', {}], ['dark', {colorScheme: 'dark'}], ['phone', {viewport: {width: 390, height: 844}, isMobile: true, hasTouch: true}]]) {
    const context = await browser.newContext({viewport: {width: 1280, height: 860}, bypassCSP: true, ...options});
    const p = await context.newPage();
    p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
    await p.goto(href(path));
    await p.waitForTimeout(300);
    await p.screenshot({path: join(pictures, `${name}-${how}.png`)});
    await p.evaluate(axe);
    const found = await p.evaluate(async () => (await window.axe.run({resultTypes: ['violations']})).violations.map(v => `${v.id} (${v.nodes[0].target})`));
    check(found.length === 0, `${name}, ${how}: axe-core finds nothing ${found.join('; ')}`);
    check(await p.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${name}, ${how}: nothing sticks out sideways`);
    if (how === 'light') {
      for (const format of ['A4', 'Letter']) await p.pdf({path: join(pictures, `${name}-${format}.pdf`), format, printBackground: true});
    }
    await context.close();
  }
}
await browser.close();
process.exit(failed ? 1 : 0);
