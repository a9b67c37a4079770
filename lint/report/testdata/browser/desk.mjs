// What the browser tests of sluice review share: the program, the browser, and what the
// page says of itself. See review.mjs.
import {execFileSync, spawn} from 'node:child_process';
import {copyFileSync, mkdirSync, readFileSync, rmSync} from 'node:fs';
import {createRequire} from 'node:module';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const {chromium} = need('playwright-core');
const axe = readFileSync(need.resolve('axe-core/axe.min.js'), 'utf8');

const [sluice, fixtures, folder, pictures] = process.argv.slice(2).map(p => resolve(p));
export {folder};
export const browser = await chromium.launch({executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox']});
export let failed = 0;
export const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };
const running = new Set();
process.on('exit', () => { for (const program of running) program.kill('SIGKILL'); });

// serve starts the program on a drawing and returns its address.
export function serve(drawing, ...flags) {
  const started = Date.now();
  const program = spawn(sluice, ['review', '--no-open', '--port', '0', ...flags, drawing], {stdio: ['ignore', 'pipe', 'pipe']});
  running.add(program);
  program.on('exit', () => running.delete(program));
  return new Promise((done, fail) => {
    let out = '';
    program.stdout.on('data', b => { out += b; const m = out.match(/http:\/\/\S+/); if (m) done({program, at: m[0], started}); });
    program.stderr.on('data', b => { out += b; });
    program.on('exit', code => fail(new Error(`review ended with ${code}: ${out}`)));
  });
}

// end kills the program outright, as a power cut would.
export const end = s => new Promise(done => { s.program.removeAllListeners('exit'); s.program.on('exit', done); s.program.kill('SIGKILL'); running.delete(s.program); });

// open opens a page and waits until the drawing is repaired. What goes wrong on it, and
// what it asks of anybody but the program, is noted in its field wrong.
export async function open(at, options = {}) {
  const p = await blank(options);
  p.on('request', r => { if (!r.url().startsWith(at)) p.wrong.push(`asks for ${r.url()}`); });
  await p.goto(at);
  await idle(p);
  return p;
}

// blank opens a window of its own with nothing in it.
export async function blank(options = {}) {
  const context = await browser.newContext({viewport: {width: 1400, height: 900}, ...options});
  const p = await context.newPage();
  p.setDefaultTimeout(120000); // a loaded machine is slow, not wrong
  p.wrong = [];
  p.on('pageerror', e => p.wrong.push(String(e)));
  p.on('dialog', d => { p.wrong.push(`dialog ${d.message()}`); d.dismiss(); });
  return p;
}

// idle waits until the drawing is repaired, as the page and as the program say.
export async function idle(p) {
  for (;;) {
    await p.waitForFunction(() => !document.querySelector('#write').disabled && !document.body.classList.contains('working'));
    const s = await state(p);
    if (!s.busy && !s.partial && await p.evaluate(([n, m]) => +document.querySelector('#asked h2 .n').textContent === n && +document.querySelector('#answered h2 .n').textContent === m, [s.asked, s.answered.length])) return;
    await p.waitForTimeout(10);
  }
}

// state is what the program tells the page.
export const state = p => p.evaluate(async () => (await fetch('state')).json());
export const count = p => p.evaluate(() => +document.querySelector('#asked h2 .n').textContent);
export const decided = p => p.evaluate(() => +document.querySelector('#answered h2 .n').textContent);
export const picture = async (p, name) => { if (pictures) await p.screenshot({path: join(pictures, `review-${name}.png`)}); };
export const close = p => p.context().close();

// fresh puts a copy of the demo kit and its job into a folder of its own.
export function fresh(name) {
  const dir = join(folder, name);
  rmSync(dir, {recursive: true, force: true});
  mkdirSync(dir, {recursive: true});
  const kit = join(dir, 'kit.dxf'), job = join(dir, 'crane.toml');
  copyFileSync(join(fixtures, 'harbour-crane.dxf'), kit);
  copyFileSync(join(fixtures, 'crane.toml'), job);
  return {dir, kit, job, answers: join(dir, 'kit.answers.toml'), written: join(dir, 'kit-jet.dxf')};
}

// run runs the program to its end and returns what it prints; status 1, findings, is no
// failure.
export function run(...args) {
  try {
    return execFileSync(sluice, args, {encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'], maxBuffer: 1 << 28});
  } catch (e) {
    if (e.status !== 1) throw new Error(`sluice ${args.join(' ')}: status ${e.status}: ${e.stderr}`);
    return e.stdout;
  }
}

export async function accessible(p, what) {
  await p.evaluate(axe);
  const r = await p.evaluate(() => window.axe.run({resultTypes: ['violations']}));
  for (const v of r.violations) console.log(`     ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map(n => n.html.slice(0, 140)).join(' | ')}`);
  check(r.violations.length === 0 && r.passes.length > 0, `${what}: axe-core finds nothing`);
}

// finish ends what still runs and the test.
export async function finish() {
  await browser.close();
  if (failed) { console.log(`${failed} checks failed`); process.exit(1); }
}
