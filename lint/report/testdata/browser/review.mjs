// Settles drawings on the page of sluice review in a browser, as a person does: by
// clicks alone, by keys alone, in two windows, on a phone; looks at what is written, at
// what is kept when the program is killed, and at what a hostile drawing and a page of
// somebody else's come to.
//
//   node review.mjs SLUICE FIXTURES FOLDER [PICTURES]
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {execFileSync, spawn} from 'node:child_process';
import {copyFileSync, existsSync, mkdirSync, readFileSync, writeFileSync} from 'node:fs';
import {createServer} from 'node:http';
import {createRequire} from 'node:module';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const {chromium} = need('playwright-core');
const axe = readFileSync(need.resolve('axe-core/axe.min.js'), 'utf8');

const [sluice, fixtures, folder, pictures] = process.argv.slice(2).map(p => resolve(p));
const browser = await chromium.launch({executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox']});
let failed = 0;
const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };
const running = new Set();

// serve starts the program on a drawing and returns its address.
function serve(drawing, ...flags) {
  const program = spawn(sluice, ['review', '--no-open', ...flags, drawing], {stdio: ['ignore', 'pipe', 'pipe']});
  running.add(program);
  program.on('exit', () => running.delete(program));
  return new Promise((done, fail) => {
    let out = '';
    program.stdout.on('data', b => { out += b; const m = out.match(/http:\/\/\S+/); if (m) done({program, at: m[0]}); });
    program.stderr.on('data', b => { out += b; });
    program.on('exit', code => fail(new Error(`review ended with ${code}: ${out}`)));
  });
}

const end = s => new Promise(done => { s.program.removeAllListeners('exit'); s.program.on('exit', done); s.program.kill('SIGKILL'); running.delete(s.program); });

async function open(at, options = {}) {
  const context = await browser.newContext({viewport: {width: 1400, height: 900}, ...options});
  const p = await context.newPage();
  p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  p.wrong = [];
  p.on('pageerror', e => p.wrong.push(String(e)));
  p.on('dialog', d => { p.wrong.push(`dialog ${d.message()}`); d.dismiss(); });
  p.on('request', r => { if (!r.url().startsWith(at)) p.wrong.push(`asks for ${r.url()}`); });
  await p.goto(at);
  await idle(p);
  return p;
}

// idle waits until the drawing is repaired.
const idle = p => p.waitForFunction(() => !document.querySelector('#write').disabled && !document.body.classList.contains('working'));
const count = p => p.evaluate(() => +document.querySelector('#asked h2 .n').textContent);
const decided = p => p.evaluate(() => +document.querySelector('#answered h2 .n').textContent);
const picture = async (p, name) => { if (pictures) await p.screenshot({path: join(pictures, `review-${name}.png`)}); };
const copy = name => { const to = join(folder, name); mkdirSync(to, {recursive: true}); copyFileSync(join(fixtures, 'harbour-crane.dxf'), join(to, 'kit.dxf')); copyFileSync(join(fixtures, 'crane.toml'), join(to, 'crane.toml')); return to; };
const run = (...args) => { try { return execFileSync(sluice, args, {encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'], maxBuffer: 1 << 28}); } catch (e) { return e.stdout; } };

async function accessible(p, what) {
  await p.evaluate(axe);
  const r = await p.evaluate(() => window.axe.run({resultTypes: ['violations']}));
  for (const v of r.violations) console.log(`     ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map(n => n.html.slice(0, 140)).join(' | ')}`);
  check(r.violations.length === 0, `${what}: axe-core finds nothing`);
}

// By clicks alone, from the first question to none, and back.
{
  const dir = copy('clicks'), kit = join(dir, 'kit.dxf'), job = join(dir, 'crane.toml');
  const s = await serve(kit, '--job', job);
  const p = await open(s.at);
  const asked = await count(p);
  check(asked >= 20, `${asked} questions at first`);
  await picture(p, 'first');

  const choice = p.locator('.card[open] .choices button').first();
  await choice.hover();
  await p.waitForFunction(() => [...document.querySelectorAll('.ghost path')].some(g => g.getAttribute('d')));
  check(true, 'a choice is shown on the drawing before it is taken');
  await picture(p, 'preview');
  await p.mouse.move(5, 5);

  let steps = 0;
  const times = [];
  while (await count(p) > 0 && steps < 150) {
    const card = p.locator('.card').first();
    if (!(await card.evaluate(e => e.open))) await card.locator('summary').click();
    const all = card.locator('.pager input');
    if (await all.count()) await all.check();
    const start = Date.now(), was = await count(p);
    await card.locator('.choices button').first().click();
    await p.waitForFunction(n => +document.querySelector('#asked h2 .n').textContent !== n || +document.querySelector('#answered h2 .n').textContent > 0, was);
    await idle(p);
    times.push(Date.now() - start);
    steps++;
  }
  times.sort((a, b) => a - b);
  check(await count(p) === 0, `nothing is left after ${steps} answers (${await decided(p)} findings), ${times[times.length >> 1]} ms each in the middle`);
  check(await p.textContent('#count span:last-child') === 'Nothing is left to decide', 'the head says so');
  await picture(p, 'settled');
  await p.click('#write');
  await p.waitForFunction(() => document.querySelector('#alert').textContent.startsWith('Written'));
  const settled = readFileSync(join(dir, 'kit-jet.dxf'));
  const left = JSON.parse(run('lint', '--no-cache', '--job', job, '--format', 'json', '--answers', join(dir, 'kit.answers.toml'), join(dir, 'kit-jet.dxf')));
  const open_ = (left.files ? left.files[0] : left).findings.filter(f => f.severity !== 'note');
  // What was accepted as it is stands in the corrected drawing too, at its own place.
  const accepted = [...readFileSync(join(dir, 'kit.answers.toml'), 'utf8').matchAll(/about\s+= "(\S+) at/g)].map(m => m[1]);
  check(open_.every(f => accepted.includes(f.rule)), `what was written is linted clean but for what was accepted (${[...new Set(open_.map(f => f.rule))].join(', ') || 'nothing'})`);
  check(existsSync(join(dir, 'kit-jet.html')), 'the report is written too');

  let back = 0;
  for (; back < 150 && await p.isEnabled('#undo'); back++) { await p.click('#undo'); await idle(p); }
  check(await p.isDisabled('#undo') && await decided(p) === 0 && await count(p) === asked, `undone step by step, all is asked again (${await count(p)} of ${asked}, ${await decided(p)} decided)`);
  await p.click('#write');
  await p.waitForFunction(() => document.querySelector('#alert').textContent.startsWith('Written'));
  run('fix', kit, '--job', job, '-o', join(dir, 'plain.dxf'), '--no-answers', '--fail-on', 'never', '--quiet');
  check(readFileSync(join(dir, 'kit-jet.dxf')).equals(readFileSync(join(dir, 'plain.dxf'))), 'what is written then has the bytes of fix without answers');
  check(!existsSync(join(dir, 'kit.answers.toml')), 'no file of answers is left');
  for (let i = 0; i < back; i++) { await p.click('#redo'); await idle(p); }
  await p.click('#write');
  await p.waitForTimeout(300);
  await idle(p);
  check(readFileSync(join(dir, 'kit-jet.dxf')).equals(settled), 'gone forth again, it has the bytes of before');
  check(p.wrong.length === 0, `nothing goes wrong, and nothing is asked of anybody else (${p.wrong.join('; ')})`);
  await p.context().close();
  await end(s);
}

// Parts: a count, and a tab dragged.
{
  const dir = copy('parts'), s = await serve(join(dir, 'kit.dxf'), '--job', join(dir, 'crane.toml'));
  const p = await open(s.at);
  await p.fill('[data-focus="9/count"]', '2');
  await p.keyboard.press('Tab');
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '1');
  await idle(p);
  await p.locator('#grips').check();
  await p.locator('.grip.tab').first().waitFor();
  let moved = false;
  for (let i = 0; i < 20 && !moved; i++) {
    const g = p.locator('.grip.tab').nth(3 * i), b = await g.boundingBox();
    await p.mouse.move(b.x + b.width / 2, b.y + b.height / 2);
    await p.mouse.down();
    await p.mouse.move(b.x + b.width / 2 + 7, b.y + b.height / 2 + 7, {steps: 3});
    await p.waitForFunction(() => !document.querySelector('#gripped').hidden);
    const refused = (await p.textContent('#gripped')).startsWith('Not here');
    if (i === 0 && pictures) await picture(p, 'drag');
    await p.mouse.up();
    await p.waitForTimeout(150);
    await idle(p);
    moved = !refused && readFileSync(join(dir, 'kit.answers.toml'), 'utf8').includes('tabs   = ["');
  }
  check(moved, 'a tab dragged along an outline stays there, and is kept');
  const grip = p.locator('.grip.number').first();
  await grip.focus();
  await p.keyboard.press('ArrowRight');
  await p.waitForFunction(() => !document.querySelector('#gripped').hidden);
  await p.keyboard.press('Escape');
  check(await p.locator('#gripped').isHidden(), 'a number is moved by keys, and left where it was by Escape');
  await p.fill('[data-focus="36/count"]', '0');
  await p.keyboard.press('Tab');
  await p.waitForFunction(() => document.querySelector('#parts tr.out'));
  check(true, 'a part that is left out stays in the list');
  await accessible(p, 'with grips');
  await p.context().close();
  await end(s);
}

// Keys alone, two windows, and the program killed.
{
  const dir = copy('keys'), s = await serve(join(dir, 'kit.dxf'), '--job', join(dir, 'crane.toml'));
  const p = await open(s.at), q = await open(s.at);
  const asked = await count(p);
  const seen = new Set();
  for (let i = 0; i < 60; i++) { // through all cards
    await p.keyboard.press('n');
    seen.add(await p.evaluate(() => document.activeElement.id));
  }
  const cards = await p.locator('.card').count();
  check(seen.size >= cards, `N goes through all ${cards} groups of questions (${seen.size} places)`);
  await p.keyboard.press('Tab');
  const on = await p.evaluate(() => document.activeElement.closest('.card') !== null);
  check(on, 'Tab goes on to the choices');
  await p.keyboard.press('1');
  await p.waitForFunction(n => +document.querySelector('#asked h2 .n').textContent < n || document.querySelector('#answered h2 .n').textContent === '1', asked);
  await idle(p);
  await q.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '1');
  check(true, 'an answer by a key shows in the other window too');
  await q.keyboard.press('u');
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '0');
  check(true, 'the other window takes it back');
  await p.keyboard.press('1');
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '1');
  await end(s);
  check(readFileSync(join(dir, 'kit.answers.toml'), 'utf8').includes('[[answer]]'), 'killed right after an answer, the program loses none');
  await p.waitForFunction(() => document.querySelector('#alert').textContent.includes('has ended'));
  check(true, 'the page says that the program has ended');
  await p.context().close();
  await q.context().close();
  const again = await serve(join(dir, 'kit.dxf'), '--job', join(dir, 'crane.toml')), r = await open(again.at);
  check(await decided(r) === 1, 'opened again, the answer is there');
  await accessible(r, 'light');
  await r.context().close();
  const dark = await open(again.at, {colorScheme: 'dark'});
  await accessible(dark, 'dark');
  await picture(dark, 'dark');
  await dark.context().close();
  const phone = await open(again.at, {viewport: {width: 390, height: 844}, hasTouch: true});
  await accessible(phone, 'phone');
  const wide = await phone.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  check(wide <= 0, `on a phone nothing is wider than the screen (${wide} px)`);
  await phone.locator('.card[open] .choices button').first().tap();
  check(await phone.locator('.armed').count() === 1, 'on a phone the first tap shows a choice');
  await picture(phone, 'phone');
  await phone.locator('.armed').tap();
  await phone.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '2');
  check(true, 'the second takes it');
  await phone.context().close();

  // A page of somebody else's, open in the same browser.
  const hostile = createServer((_, res) => res.end('<title>kits</title>')).listen(0);
  const context = await browser.newContext(), h = await context.newPage();
  await h.goto(`http://127.0.0.1:${hostile.address().port}/`);
  const got = await h.evaluate(async at => {
    const tried = [];
    for (const [what, how] of [['state', {}], ['undo', {method: 'POST', body: '{}'}], ['forget', {method: 'POST', mode: 'no-cors', body: '{}'}], ['undo', {method: 'POST', headers: {'Content-Type': 'application/json'}, body: '{}'}]]) {
      try { const r = await fetch(at + what, how); tried.push(r.type === 'opaque' ? 'opaque' : r.status); } catch { tried.push('refused'); }
    }
    return tried;
  }, again.at);
  check(got.every(x => x === 'refused' || x === 'opaque'), `a page of another origin reads nothing (${got.join(', ')})`);
  check(readFileSync(join(dir, 'kit.answers.toml'), 'utf8').match(/\[\[answer\]\]/g).length === 2, 'and changes nothing');
  hostile.close();
  await context.close();
  await end(again);
}

// Names and texts that would be markup.
{
  const dir = join(folder, 'hostile');
  mkdirSync(dir, {recursive: true});
  const bad = '"><img src=x onerror=alert(1)><script>alert(2)</script>', e = [];
  for (const [x, y] of [[0, 0], [200, 0]]) e.push(`0\nLWPOLYLINE\n8\n${bad}\n90\n4\n70\n1\n10\n${x}\n20\n${y}\n10\n${x + 100}\n20\n${y}\n10\n${x + 100}\n20\n80\n10\n${x}\n20\n80\n`);
  e.push(`0\nLINE\n8\nhidden ${bad}\n10\n20\n20\n20\n11\n60\n21\n20\n`, `0\nLINE\n8\n${bad}\n10\n20\n20\n40\n11\n60\n21\n40\n`, `0\nTEXT\n8\n${bad}\n10\n20\n20\n60\n40\n5\n1\n${bad}\n`);
  writeFileSync(join(dir, 'kit.dxf'), `0\nSECTION\n2\nENTITIES\n${e.join('')}0\nENDSEC\n0\nEOF\n`);
  writeFileSync(join(dir, 'kit.answers.toml'), `[[answer]]\nfinding = "none"\nabout = '${bad}'\nchoice = "leave"\nnote = '${bad}'\n`);
  const s = await serve(join(dir, 'kit.dxf')), p = await open(s.at);
  await p.waitForTimeout(300);
  check(await p.locator('main img, main script').count() === 0 && p.wrong.length === 0, `a hostile drawing stays inert (${p.wrong.join('; ')})`);
  await p.context().close();
  await end(s);
}

// A drawing of 100,000 entities: figures are told, and fail only where they are absurd.
{
  const dir = join(folder, 'large'), e = [];
  mkdirSync(dir, {recursive: true});
  for (let i = 0; i < 500; i++) {
    const x = 600 * (i % 25), y = 600 * Math.floor(i / 25), at = k => [x + (k % 2 ? 260 : 240) * Math.cos(Math.PI * k / 100), y + (k % 2 ? 260 : 240) * Math.sin(Math.PI * k / 100)];
    for (let k = 0; k < 200; k++) {
      if (i % 50 === 7 && k === 3) continue; // a gap to be asked about
      const [ax, ay] = at(k), [bx, by] = at((k + 1) % 200);
      e.push(`0\nLINE\n8\n0\n10\n${ax.toFixed(4)}\n20\n${ay.toFixed(4)}\n11\n${bx.toFixed(4)}\n21\n${by.toFixed(4)}\n`);
    }
  }
  writeFileSync(join(dir, 'kit.dxf'), `0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n${e.join('')}0\nENDSEC\n0\nEOF\n`);
  const s = await serve(join(dir, 'kit.dxf')), start = Date.now();
  const context = await browser.newContext({viewport: {width: 1400, height: 900}}), p = await context.newPage();
  p.setDefaultTimeout(120000);
  await p.goto(s.at);
  await p.locator('.card .choices button').first().waitFor();
  const opened = Date.now() - start;
  check(opened < 30000, `a drawing of ${e.length} entities opens in ${(opened / 1000).toFixed(1)} s`);
  await idle(p);
  const began = Date.now(), n = await decided(p);
  const card = p.locator('.card').first();
  await card.locator('.choices button').first().click();
  await p.waitForFunction(n => +document.querySelector('#answered h2 .n').textContent > n, n);
  const took = Date.now() - began;
  check(took < 20000, `an answer is taken in ${(took / 1000).toFixed(1)} s`);
  await picture(p, 'large');
  await context.close();
  await end(s);
}

for (const program of running) program.kill('SIGKILL');
await browser.close();
if (failed) { console.log(`${failed} checks failed`); process.exit(1); }
