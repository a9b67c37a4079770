// Opens HTML differences in a browser and checks the switch between overlay,
// before, after, blink and side by side, that a row flies to its place on both
// boards, that nothing is fetched, and (with axe-core) that people who cannot see
// or point can use the page.
//
//   node diff.mjs DIFF.html
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const {chromium} = need('playwright-core');
const axe = readFileSync(need.resolve('axe-core/axe.min.js'), 'utf8');
const url = pathToFileURL(resolve(process.argv[2])).href;
const browser = await chromium.launch({executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox']});
let failed = 0;
const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };

const wrong = [];
async function open(options) {
  const context = await browser.newContext({viewport: {width: 1280, height: 860}, ...options});
  const p = await context.newPage();
  p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  p.on('pageerror', e => wrong.push(String(e)));
  p.on('console', m => { if (m.type() === 'error') wrong.push(m.text()); });
  p.on('request', r => { if (r.url() !== url) wrong.push(`asks for ${r.url()}`); });
  await p.goto(url);
  await p.waitForFunction(() => document.documentElement.classList.contains('live'));
  return p;
}
const boards = p => p.evaluate(() => [...document.querySelectorAll('.board')].map(b => ({
  shows: [...b.classList].filter(c => c.startsWith('show-')).join(), seen: b.offsetWidth > 0, view: b.querySelector('svg').getAttribute('viewBox').split(' ').map(Number),
})));
const choose = (p, mode) => p.locator(`.switch input[value=${mode}]`).check({force: true});

const p = await open({reducedMotion: 'no-preference'});
let b = await boards(p);
check(b[0].shows === 'show-both' && !b[1].seen, 'opens as an overlay on one board');
const whole = b[0].view;
await p.locator('.go').first().click();
await p.waitForTimeout(600);
b = await boards(p);
check(b[0].view[2] < whole[2] / 2, 'a row flies to its place');
await choose(p, 'split');
b = await boards(p);
check(b[1].seen && b[0].shows === 'show-before' && b[1].shows === 'show-after', 'side by side shows one drawing on each board');
await p.locator('[data-do=in]').click();
await p.waitForTimeout(200);
b = await boards(p);
check(b[0].view.every((v, i) => Math.abs(v - b[1].view[i]) < 1e-3 * whole[2]), 'both boards move together');
await p.locator('.board').nth(1).focus();
await p.keyboard.press('ArrowRight');
await p.waitForTimeout(200);
const c = await boards(p);
check(c[0].view[0] > b[0].view[0] && Math.abs(c[0].view[0] - c[1].view[0]) < 1e-3 * whole[2], 'moving the second moves the first');
await p.locator('.go').nth(2).click();
check((await boards(p))[1].seen, 'a row does not leave side by side');
await choose(p, 'blink');
const seen = new Set();
for (let i = 0; i < 8; i++) { seen.add((await boards(p))[0].shows); await p.waitForTimeout(250); }
check(seen.has('show-before') && seen.has('show-after'), 'blinking shows both in turn');
await p.keyboard.press('o');
await p.waitForTimeout(900);
check((await boards(p))[0].shows === 'show-both', 'O goes back to the overlay and stops the blinking');
await p.keyboard.press('b');
check((await boards(p))[0].shows === 'show-after', 'B shows the drawing after');
await p.keyboard.press('b');
check((await boards(p))[0].shows === 'show-before', 'B again shows the one before');
await p.keyboard.press('n');
check(await p.evaluate(() => document.activeElement.classList.contains('go')), 'N goes to a change');

const still = await open({reducedMotion: 'reduce'});
await choose(still, 'blink');
const first = (await boards(still))[0].shows;
await still.waitForTimeout(900);
check((await boards(still))[0].shows === first, 'nothing blinks by itself for who asks for less motion');

for (const [what, options] of [['light', {}], ['dark', {colorScheme: 'dark'}], ['phone', {viewport: {width: 390, height: 800}}]]) {
  const q = await open({bypassCSP: true, ...options});
  for (const mode of ['both', 'split']) {
    await choose(q, mode);
    await q.evaluate(axe);
    const found = (await q.evaluate(() => axe.run())).violations;
    check(!found.length, `axe-core, ${what}, ${mode}: ${found.map(v => `${v.id} (${v.nodes.length}: ${v.nodes[0].target})`).join(', ') || 'no violation'}`);
    check(await q.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${what}, ${mode}: nothing sticks out sideways`);
  }
}
check(!wrong.length, `nothing goes wrong on the way: ${wrong.join('; ') || 'nothing'}`);
await browser.close();
process.exit(failed ? 1 : 0);
