// Lays the demo kit out on the page of sluice review, as a person does: watches the
// layout while it is found, drags a part and sees the others make room, goes by keys
// alone, stops, writes, and has fix come to the same sheets.
//
//   node lay.mjs SLUICE FIXTURES FOLDER [PICTURES]
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {existsSync, readFileSync, readdirSync, writeFileSync} from 'node:fs';
import {join} from 'node:path';
import {accessible, check, close, end, finish, fresh, idle, open, picture, run, serve} from './desk.mjs';

const still = {reducedMotion: 'reduce'};

// kit puts the demo, and a job of small sheets with a clamp, into a folder of its own.
function kit(name) {
  const f = fresh(name);
  writeFileSync(f.job, readFileSync(f.job, 'utf8').replace(/size = .*/, 'size = ["400mm", "350mm"]') + '\n[layout]\nsheets = 4\nseconds = 1\n\n[[clamp]]\nat = ["0mm", "150mm"]\nsize = ["40mm", "50mm"]\n');
  return f;
}

const laid = p => p.evaluate(async () => (await fetch('laid')).json());
const all = l => l.sheets.flatMap((s, i) => s.parts.map(x => ({...x, sheet: i})));
const of = (l, x) => all(l).find(y => y.part === x.part && y.which === x.which);
const same = (a, b) => a.sheet === b.sheet && a.turn === b.turn && Math.hypot(a.x - b.x, a.y - b.y) < 1e-6;
const words = p => p.textContent('#lay-told');

// found waits until nothing is looked for, as the program and the page say.
async function found(p) {
  for (;;) {
    await p.waitForFunction(() => document.querySelector('#lay-run').hidden && !document.body.classList.contains('working'));
    const l = await laid(p);
    if (!l.running && await p.evaluate(n => document.querySelectorAll('.lie').length === n, all(l).length)) return l;
    await p.waitForTimeout(20);
  }
}

// layOut has the parts laid out, and looks on the way how it goes.
async function layOut(p, button = '#lay') {
  await p.evaluate(() => {
    window.shares = [];
    new MutationObserver(() => { if (!document.querySelector('#lay-run').hidden) window.shares.push(document.querySelector('#lay-share').value); })
      .observe(document.querySelector('#lay-run'), {subtree: true, childList: true, attributes: true, characterData: true});
  });
  await p.click(button);
  await p.waitForFunction(() => !document.querySelector('#lay-run').hidden || document.querySelectorAll('.lie').length);
  const l = await found(p);
  const shares = await p.evaluate(() => window.shares);
  check(shares.every((s, i) => i === 0 || s >= shares[i - 1]), `progress runs forwards (${shares.length} times told, up to ${Math.round(100 * Math.max(0, ...shares))} %)`);
  return l;
}

// middle is where the material of a part is on the screen.
const middle = (p, x) => p.evaluate(key => {
  const lie = [...document.querySelectorAll('.lie')].find(g => g.lies.key === key), t = lie.querySelector('text').getBoundingClientRect();
  return [t.left + t.width / 2, t.top + t.height / 2];
}, `${x.part}/${x.which}`);

// drag puts a part elsewhere with the mouse and returns what was said while it was held.
async function drag(p, x, dx, dy, name) {
  const [mx, my] = await middle(p, x);
  await p.mouse.move(mx, my);
  await p.mouse.down();
  await p.mouse.move(mx + dx / 2, my + dy / 2, {steps: 3});
  await p.mouse.move(mx + dx, my + dy, {steps: 3});
  await p.waitForFunction(() => !document.querySelector('#lay-told').hidden);
  await p.waitForTimeout(400);
  const told = await words(p);
  if (name) await picture(p, name);
  await p.mouse.up();
  await p.waitForTimeout(100);
  return told;
}

async function mouse() {
  const f = kit('lay'), s = await serve(f.kit, '--job', f.job), p = await open(s.at, still);
  await p.locator('.switch input[value=laid]').click();
  await p.waitForFunction(() => document.querySelector('#lay-stand').textContent.startsWith('Nothing is laid out'));
  check(await p.isDisabled('#write'), 'without a layout no sheets can be written');
  await accessible(p, 'before there is a layout');
  await picture(p, 'lay-none');
  const first = await layOut(p);
  check(first.exact && first.sheets.length === 2, `${all(first).length} parts on ${first.sheets.length} sheets`);
  await accessible(p, 'a layout');
  await picture(p, 'lay-found');

  // A large part of the first sheet is put into what is free of the second, then upon another.
  const big = first.sheets[0].parts.map(x => ({...x, sheet: 0})).sort((a, b) => b.w * b.h - a.w * a.h)[2];
  const scale = await p.evaluate(() => { const v = document.querySelector('#laid-view svg[role=group]').viewBox.baseVal; return document.querySelector('#laid-view .board').clientWidth / v.width; });
  const told = await drag(p, big, 0, 60 * scale * (big.y > 175 ? 1 : -1), 'lay-drag');
  let l = await found(p);
  const there = of(l, big), kept = readFileSync(f.answers, 'utf8');
  check(there.pinned && !same(there, big) && l.pinned === 1, `a part is pinned where it is dragged to (${told})`);
  check(/^at +=/m.test(kept) && kept.includes(`part   = "${big.part}"`), 'and that is an answer');
  const moved = all(first).filter(x => x.part !== big.part && !same(x, of(l, x))).length;
  check(/make room|makes room/.test(told) ? moved > 0 && moved < all(first).length / 2 : moved === 0, `what is in its way makes room, all else stays (${moved} of ${all(first).length} moved)`);
  check(!overlaps(l), 'no two parts lie on each other');
  check(await p.locator('.lie.pinned .tack').count() === 1 && await p.locator('.lie.pinned .tack').isVisible(), 'it carries a sign');
  await accessible(p, 'a pinned part');
  await picture(p, 'lay-pinned');
  const refused = await drag(p, all(l).find(x => !x.pinned && x.sheet === there.sheet && x.w < 60), ...await p.evaluate(([a, b]) => [b[0] - a[0], b[1] - a[1]], [await middle(p, all(l).find(x => !x.pinned && x.sheet === there.sheet && x.w < 60)), await middle(p, there)]));
  check(refused.startsWith('Not here: on part') && (await p.textContent('#alert')).includes('pinned'), `nothing is put upon what is pinned (${refused})`);
  await p.click('#undo');
  l = await found(p);
  check(all(first).every(x => same(x, of(l, x))) && !existsSync(f.answers), 'taken back, all lies as before');
  await p.click('#redo');
  l = await found(p);
  check(same(of(l, big), there), 'made again, it lies where it was put');

  await writeAll(p, f, l);
  check(p.wrong.length === 0, `nothing goes wrong, and nothing is asked of anybody else (${p.wrong.join('; ')})`);
  await close(p);
  await end(s);
}

// overlaps reports whether the boxes' middles of two parts of one sheet are in one place.
const overlaps = l => l.sheets.some(s => s.parts.some((a, i) => s.parts.some((b, k) => k > i && Math.hypot(a.x - b.x, a.y - b.y) < 1)));

// write has the page write the sheets and returns what it says.
async function write(p) {
  await Promise.all([p.waitForResponse(r => r.url().endsWith('/write')), p.click('#write')]);
  await p.waitForFunction(() => !document.querySelector('#alert').hidden || !document.querySelector('#replace').hidden);
  return p.textContent('#alert');
}

// writeAll writes the sheets, and has fix come to the same with all parts pinned.
async function writeAll(p, f, l) {
  writeFileSync(join(f.dir, 'kit-jet-2.dxf'), 'older');
  await write(p);
  check((await p.textContent('#replace p')).includes('kit-jet-2.dxf') && readFileSync(join(f.dir, 'kit-jet-2.dxf'), 'utf8') === 'older', 'what is there is asked about first');
  await Promise.all([p.waitForResponse(r => r.url().endsWith('/write')), p.click('#replace [data-do=replace]')]);
  await p.waitForFunction(() => document.querySelector('#alert').textContent.startsWith('Written'));
  const told = await p.textContent('#alert');
  check(told.includes('only with all parts pinned'), `changed by hand, it says so (${told.split('. ').at(-1)})`);
  check(existsSync(join(f.dir, 'kit-jet.html')) && l.sheets.every((_, i) => existsSync(join(f.dir, `kit-jet-${i + 1}.dxf`))), `a drawing a sheet and the report are written (${readdirSync(f.dir).join(', ')})`);
  const files = () => l.sheets.map((_, i) => readFileSync(join(f.dir, `kit-jet-${i + 1}.dxf`)));
  const shown = files();
  await p.click('#lay-pin');
  await p.waitForFunction(n => document.querySelectorAll('.lie.pinned').length === n, all(l).length);
  await found(p);
  await write(p);
  await p.waitForFunction(() => document.querySelector('#alert').textContent.includes('All parts are pinned'));
  check(files().every((x, i) => x.equals(shown[i])), 'pinned all as they lie, the same sheets are written');
  run('fix', f.kit, '--job', f.job, '--layout', '-o', join(f.dir, 'again.dxf'), '--fail-on', 'never', '--quiet');
  check(files().every((x, i) => x.equals(readFileSync(join(f.dir, `again-${i + 1}.dxf`)))), 'and fix --layout writes the same bytes');
  const report = JSON.parse(run('lint', '--no-cache', '--job', f.job, '--format', 'json', join(f.dir, 'kit-jet-1.dxf'))).files[0].findings.filter(x => ['off-sheet', 'close-parts', 'shared-edge'].includes(x.rule) && x.severity === 'error');
  check(report.length === 0, `read back, no part lies off the sheet or on another (${report.map(x => x.rule).join(', ')})`);
  await p.click('#lay-free');
  await p.waitForFunction(() => !document.querySelectorAll('.lie.pinned').length);
}

async function keys() {
  const f = kit('lay-keys'), s = await serve(f.kit, '--job', f.job), p = await open(s.at, still);
  await p.keyboard.press('l');
  await p.locator('#lay').focus();
  await p.keyboard.press('Enter');
  await p.waitForFunction(() => document.querySelectorAll('.lie').length);
  const first = await found(p);
  await p.keyboard.press('n');
  await p.keyboard.press('n');
  const now = () => p.evaluate(() => { const l = document.activeElement.lies; return l && {part: l.p.part, which: l.p.which}; });
  const who = await now();
  check(!!who && (await p.evaluate(() => document.activeElement.getAttribute('aria-label'))).startsWith(`Part ${who.part}`), `N goes to a part, which says where it lies (${await p.evaluate(() => document.activeElement.getAttribute('aria-label'))})`);
  await p.keyboard.press('ArrowLeft');
  await p.keyboard.press('Shift+ArrowUp');
  await p.waitForFunction(() => !document.querySelector('#lay-told').hidden);
  await picture(p, 'lay-keys');
  await p.keyboard.press('Escape');
  check(await p.locator('#lay-told').isHidden() && (await laid(p)).pinned === 0, 'arrows move it, Escape leaves it where it was');
  await p.keyboard.press('Space');
  await p.waitForFunction(() => document.querySelectorAll('.lie.pinned').length === 1);
  let l = await found(p);
  check(same(of(l, who), of(first, who)) && await p.evaluate(() => document.activeElement.getAttribute('aria-pressed')) === 'true', 'Space pins it where it lies, and it says so');
  const turn = of(l, who).turn;
  await p.keyboard.press('r');
  await p.waitForFunction(([n, t]) => [...document.querySelectorAll('.lie')].some(g => g.lies.key === n && g.lies.p.turn !== t), [`${who.part}/${who.which}`, turn]);
  l = await found(p);
  check((of(l, who).turn - turn + 360) % 360 === 90 && of(l, who).pinned && JSON.stringify(await now()) === JSON.stringify(who), 'R turns it, and it keeps the focus');
  await p.keyboard.press('Shift+R');
  await p.waitForFunction(([n, t]) => [...document.querySelectorAll('.lie')].some(g => g.lies.key === n && g.lies.p.turn === t), [`${who.part}/${who.which}`, turn]);
  await found(p);
  await p.keyboard.press('Shift+ArrowRight');
  await p.keyboard.press('ArrowRight');
  await p.keyboard.press('Enter');
  await p.waitForTimeout(200);
  l = await found(p);
  const put = of(l, who), was = of(first, who);
  check(put.pinned && Math.abs(put.x - was.x) > .5, `Enter puts it there (${(put.x - was.x).toFixed(1)}, ${(put.y - was.y).toFixed(1)} mm)`);
  await p.keyboard.press('1');
  check((await p.evaluate(() => document.querySelectorAll('#answered li button').length)) === 1, 'no key answers what is asked on the drawing meanwhile');
  await p.keyboard.press('Space');
  await p.waitForFunction(() => !document.querySelectorAll('.lie.pinned').length);
  check((await laid(p)).pinned === 0, 'Space lets it go');
  await p.keyboard.press('l');
  check(await p.locator('.board.of-drawing').isVisible() && await p.locator('#lay').isHidden(), 'L goes back to the drawing');
  check(p.wrong.length === 0, `nothing goes wrong (${p.wrong.join('; ')})`);
  await close(p);
  await end(s);
}

// stops searches long, ends that by hand, and has an answer change the drawing.
async function stops() {
  const f = kit('lay-stop'), s = await serve(f.kit, '--job', f.job), p = await open(s.at, {...still, colorScheme: 'dark'});
  await p.keyboard.press('l');
  await p.selectOption('#lay-time', '1800');
  await p.click('#lay');
  await p.waitForFunction(() => document.querySelectorAll('.lie').length > 20);
  await picture(p, 'lay-running');
  await accessible(p, 'while it is looked for');
  await p.click('#lay-stop');
  let l = await found(p);
  check(!l.exact && all(l).length > 20, `stopped, what was found stands (${all(l).length} parts)`);
  await p.selectOption('#lay-time', '10');
  const on = await layOut(p, '#lay-on');
  check(on.sheets.length <= l.sheets.length && all(on).length === all(l).length, 'going on makes it no worse');
  await p.locator('.card .choices button').first().click();
  await p.waitForFunction(() => document.querySelector('#lay-stand').textContent.startsWith('The drawing has changed'));
  await idle2(p);
  check(await p.isDisabled('#write') && await p.isDisabled('#lay-on'), 'a layout of another drawing is not written');
  await picture(p, 'lay-stale');
  await p.emulateMedia({media: 'print'});
  await picture(p, 'lay-print');
  check(await p.locator('.lie').first().isVisible() && await p.locator('#lay-time').isHidden(), 'on paper the sheets stand without buttons');
  await close(p);
  await end(s);
}

const idle2 = p => p.waitForFunction(() => !document.body.classList.contains('working'));

// phone lays out and drags by touch on a narrow screen.
async function phone() {
  const f = kit('lay-phone'), s = await serve(f.kit, '--job', f.job), p = await open(s.at, {...still, viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true});
  await p.locator('.switch input[value=laid]').tap();
  await p.locator('#lay').tap();
  await p.waitForFunction(() => document.querySelectorAll('.lie').length);
  const first = await found(p), big = all(first).sort((a, b) => b.w * b.h - a.w * a.h)[0];
  await p.locator('#laid-view .board').scrollIntoViewIfNeeded();
  const [x, y] = await middle(p, big), c = await p.context().newCDPSession(p), touch = (type, dx, dy) => c.send('Input.dispatchTouchEvent', {type, touchPoints: type === 'touchEnd' ? [] : [{x: x + dx, y: y + dy}]});
  await touch('touchStart', 0, 0);
  for (let i = 1; i <= 6; i++) await touch('touchMove', 4 * i, 2 * i);
  await p.waitForTimeout(400);
  await touch('touchEnd');
  await p.waitForTimeout(200);
  const l = await found(p);
  check(l.pinned === 1 && of(l, big).pinned, 'a finger drags a part, and it stays there');
  check(await p.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'nothing stands out of a narrow screen');
  await accessible(p, 'on a phone');
  await picture(p, 'lay-phone');
  check(p.wrong.length === 0, `nothing goes wrong (${p.wrong.join('; ')})`);
  await close(p);
  await end(s);
}

await mouse();
await keys();
await stops();
await phone();
await finish();
