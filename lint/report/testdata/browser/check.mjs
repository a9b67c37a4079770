// Opens HTML reports in a browser and checks what only a browser can: that a
// click flies to a place, zoom, the switch between before and after, that
// nothing from a drawing runs, that nothing is fetched, the view on paper, and
// (with axe-core) that people who cannot see or point can use the page.
//
//   node check.mjs FIX.html LINT.html HOSTILE.html
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const {chromium} = need('playwright-core');
const axe = readFileSync(need.resolve('axe-core/axe.min.js'), 'utf8');

const [fix, lint, hostile] = process.argv.slice(2).map(p => pathToFileURL(resolve(p)).href);
const browser = await chromium.launch({executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox']});
let failed = 0;
const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };

// page opens a report and gathers whatever should not happen.
async function page(url, options = {}) {
  const context = await browser.newContext({viewport: {width: 1280, height: 860}, bypassCSP: false, ...options});
  const p = await context.newPage();
  p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  p.wrong = [];
  p.on('pageerror', e => p.wrong.push(String(e)));
  p.on('console', m => { if (m.type() === 'error') p.wrong.push(m.text()); });
  p.on('dialog', d => { p.wrong.push(`dialog ${d.message()}`); d.dismiss(); });
  p.on('request', r => { if (r.url() !== url) p.wrong.push(`asks for ${r.url()}`); });
  await p.goto(url);
  await p.waitForFunction(() => document.documentElement.classList.contains('live'));
  return p;
}

const view = p => p.evaluate(() => document.querySelector('.file:not([hidden]) .board svg').getAttribute('viewBox').split(' ').map(Number));
const near = (v, x, y) => x > v[0] && x < v[0] + v[2] && y > v[1] && y < v[1] + v[3];

async function accessible(url, what, options) {
  const p = await page(url, {...options, bypassCSP: true});
  await p.evaluate(axe);
  const r = await p.evaluate(() => window.axe.run({resultTypes: ['violations']}));
  for (const v of r.violations) console.log(`     ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(' | ')}`);
  check(r.violations.length === 0, `${what}: axe-core finds nothing`);
  await p.context().close();
}

if (fix) {
  const p = await page(fix);
  const whole = await view(p);
  const row = p.locator('.list.left .rows .go').first();
  if (await row.count()) {
    await row.click();
    await p.waitForTimeout(700);
    const v = await view(p), [x, y] = (await row.getAttribute('data-go')).split(' ').map(Number);
    check(v[2] < whole[2] && near(v, x, y), 'a click on a finding flies to its place');
    check(await row.getAttribute('aria-current') === 'true', 'the finding is marked as current');
    check(await p.locator('.pin').isVisible(), 'a ring marks the place');
    await p.keyboard.press('0');
    await p.waitForTimeout(700);
    check(Math.abs((await view(p))[2] - whole[2]) < 1e-6 * whole[2], '0 shows the parts again');
    await p.mouse.move(1, 1);
    await row.hover();
    check(await p.locator('.side.after .mark .hot').count() === 1, 'the mark of a row under the pointer stands out');
  }
  const board = await p.locator('.board').first().boundingBox(), shape = whole[2] / whole[3];
  check(Math.abs(board.width / board.height / shape - 1) < .05 || board.height > 300, 'the board has the shape of the drawing');
  check(await p.locator('.mark path').first().evaluate(m => getComputedStyle(m).fill) === 'none', 'marks are open');
  const sheet = p.locator('[data-do=sheet]').first();
  if (await sheet.count()) {
    await sheet.click();
    await p.waitForTimeout(700);
    const v = await view(p);
    check(v[2] > whole[2] || v[3] > whole[3], 'Sheet shows the whole sheet');
    await p.locator('[data-do=fit]').first().click();
    await p.waitForTimeout(700);
  }
  check(await p.locator('.side.after').isVisible() && !await p.locator('.side.before').isVisible(), 'the drawing after the repair is shown first');
  await p.keyboard.press('b');
  check(await p.locator('.side.before').isVisible() && !await p.locator('.side.after').isVisible(), 'B shows the drawing before');
  await p.locator('.switch input[value=both]').check({force: true});
  check(await p.locator('.side.before').isVisible() && await p.locator('.side.after').isVisible(), 'both can be shown');
  const box = await p.locator('.board').boundingBox();
  const px = Math.round(box.x + box.width / 3), py = Math.round(box.y + box.height / 3);
  await p.mouse.move(px, py);
  const under = await p.locator('.readout').textContent();
  await p.mouse.wheel(0, -400);
  await p.waitForTimeout(300);
  check((await view(p))[2] < whole[2], 'the wheel zooms in');
  await p.mouse.move(px + 1, py);
  await p.mouse.move(px, py);
  const numbers = s => s.match(/-?[\d.]+/g).map(Number), now = await p.locator('.readout').textContent();
  check(numbers(under).every((n, i) => Math.abs(n - numbers(now)[i]) < .03), `what is under the pointer stays under it: ${under}, ${now}`);
  const before = await view(p);
  await p.mouse.down();
  await p.mouse.move(px + 80, py + 40, {steps: 4});
  await p.mouse.up();
  await p.waitForTimeout(300);
  check((await view(p))[0] < before[0], 'dragging moves the sheet');
  await p.locator('.layers summary').click();
  await p.locator('[data-layer=outside]').uncheck();
  check(!await p.locator('.side.after .ly.outside').isVisible(), 'a layer can be put away');
  const walk = p.locator('.walk'), slider = walk.locator('input[type=range]');
  const runs = await walk.locator('.w-runs path').count(), loose = await walk.locator('.w-loose path').count();
  check(runs > 0 && loose > 0 && await walk.locator('.w-runs .done').count() === 0, 'the cutting starts with nothing cut');
  await slider.focus();
  await p.keyboard.press('ArrowRight');
  check(await walk.locator('.w-runs .done').count() === 1, 'an arrow key on the slider goes one run on');
  await p.keyboard.press('End');
  check(await walk.locator('.w-runs .done').count() === runs && await walk.locator('.w-loose .free').count() === loose, 'at the end all runs are done and all pieces loose');
  check(/All \d+ runs done/.test(await slider.getAttribute('aria-valuetext')), 'the slider says where the cutting is');
  await p.keyboard.press('Home');
  check(await walk.locator('.w-runs .done').count() === 0 && await walk.locator('.w-loose .free').count() === 0, 'back at the start nothing is cut');
  await walk.locator('.play').click();
  await p.waitForTimeout(500);
  check(+await slider.inputValue() > 0 && await walk.locator('.play').textContent() === 'Pause', 'it plays');
  await walk.locator('.play').click();
  check(await walk.locator('.play').textContent() === 'Play', 'and pauses');
  const part = p.locator('.go.part').first();
  await part.click();
  check(await p.locator('.fill path.lit').count() > 0, 'a part in the list is lit on the drawing');
  await p.emulateMedia({media: 'print'});
  check(!await p.locator('.tools').isVisible() && await p.locator('.sign-off').isVisible(), 'on paper the tools give way to a line to sign');
  check(!await p.locator('.edits').first().isVisible() && await p.locator('.left-out').isVisible(), 'on paper the long lists stay away, which is told');
  await p.emulateMedia({media: 'screen'});
  check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
  await p.context().close();

  const phone = await page(fix, {viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true});
  check(await phone.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'the page is no wider than a phone');
  await phone.context().close();
  await accessible(fix, 'repair, light', {colorScheme: 'light'});
  await accessible(fix, 'repair, dark', {colorScheme: 'dark'});
  await accessible(fix, 'repair, phone', {viewport: {width: 390, height: 844}});
}

if (lint) {
  const p = await page(lint);
  await p.keyboard.press('n');
  await p.waitForTimeout(700);
  check(await p.locator('.rows .go[aria-current]').count() === 1, 'N goes to the first finding');
  const more = p.locator('.more').first();
  if (await more.count()) {
    const n = await p.locator('.rows .go').count();
    await more.click();
    check(await p.locator('.rows .go').count() > n, 'the rest of a long list can be shown');
  }
  check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
  await p.context().close();
  await accessible(lint, 'check, light', {colorScheme: 'light'});
  await accessible(lint, 'check, dark', {colorScheme: 'dark'});
}

if (hostile) {
  const p = await page(hostile);
  for (const b of await p.locator('.go:visible').all()) await b.click();
  check(await p.locator('img').count() === 0, 'names from a drawing become no elements');
  check(await p.locator('script').count() === await p.locator('script.markers').count() + 1, 'names from a drawing become no scripts');
  check(p.wrong.length === 0, `hostile names do nothing ${p.wrong.join('; ')}`);
  await p.context().close();
}
await browser.close();
process.exit(failed ? 1 : 0);
