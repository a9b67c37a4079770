// Runs the program that stands in the page of sluice page, without a browser, on
// drawings, and compares the bytes of what it saves with those of sluice fix.
//
//   node held.mjs SLUICE PAGE FOLDER DRAWING[=JOB[=ANSWERS]]...
import {execFileSync} from 'node:child_process';
import {copyFileSync, existsSync, mkdirSync, readFileSync, rmSync} from 'node:fs';
import {basename, join, resolve} from 'node:path';
import {runInThisContext} from 'node:vm';

const [program, page, folder, ...drawings] = process.argv.slice(2), sluice = resolve(program);
const html = readFileSync(page, 'utf8');
const block = id => html.match(new RegExp(`<script type="text/plain" id="${id}">([^]*?)</script>`))[1];
const waiting = new Map();
let count = 0, news = () => {}, failed = 0, turned = false;
globalThis.postMessage = m => {
  if (m.end) throw new Error('the program has ended');
  if (m.changed !== undefined) { news(); return; }
  waiting.get(m.id)(m);
  waiting.delete(m.id);
};
runInThisContext(block('worker'));
const send = (kind, ...args) => new Promise(done => { waiting.set(++count, done); globalThis.onmessage({data: {id: count, kind, args}}); });
const check = (ok, what) => { console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}`); if (!ok) failed++; };

const started = await send('start', block('engine'));
if (started.status !== 200) throw new Error(started.value);

// settled waits until the drawing is repaired.
async function settled() {
  for (;;) {
    const changed = new Promise(done => { news = done; });
    const r = await send('ask', 'state', null), s = JSON.parse(r.value);
    if (s.error || s.round > 0 && !s.busy && !s.partial) return s;
    await changed;
  }
}

const file = path => path && {name: basename(path), data: new Uint8Array(readFileSync(path))};
for (const [i, d] of drawings.entries()) {
  const [drawing, job, answers] = d.split('=').map(p => p && resolve(p));
  const dir = resolve(folder, `${i}`), out = join(dir, 'out.dxf'), name = basename(drawing), report = name.replace(/\.[^.]*$/, '-jet.html');
  rmSync(dir, {recursive: true, force: true});
  mkdirSync(dir, {recursive: true});
  copyFileSync(drawing, join(dir, name)); // so that no job beside it counts
  if (job) copyFileSync(job, join(dir, basename(job)));
  const flags = [...job ? ['--job', basename(job)] : [], ...answers ? ['--answers', answers] : ['--no-answers']];
  const corrected = name.replace(/\.[^.]*$/, '-jet.dxf');
  let begun = Date.now(), told = '';
  try {
    execFileSync(sluice, ['fix', name, '-o', corrected, '--report', report, '--fail-on', 'never', '--quiet', ...flags], {cwd: dir, stdio: ['ignore', 'ignore', 'pipe']});
  } catch (e) { told = String(e.stderr).trim(); }
  const native = Date.now() - begun;
  begun = Date.now();
  const r = await send('open', {drawing: file(drawing), job: file(job), answers: file(answers), settings: []}, i);
  const s = r.status === 200 ? await settled() : {error: r.value};
  const took = Date.now() - begun;
  if (s.error || !existsSync(join(dir, corrected))) { check(!!s.error && !existsSync(join(dir, corrected)), `${name}: refused by both: ${told} | ${s.error}`); continue; }
  await send('ask', 'write', '{"replace":false}');
  const files = (await send('files')).value, same = (a, b) => Buffer.compare(Buffer.from(a), readFileSync(join(dir, b))) === 0;
  check(files[0].name === corrected && same(files[0].data, corrected), `${name}${job ? ', job' : ''}${answers ? ', answers' : ''}: the corrected drawing is that of fix, ${files[0].data.length} bytes (${took} ms, fix ${native} ms)`);
  check(same(files[1].data, report), `${name}: and so is the report`);
  if (turned || !s.groups.length) continue;
  turned = true;
  // Asked over and over until a repair is done, it says that it is busy if it has a turn before
  // that: of short repairs not in each.
  let busy = false, answered = 0, round = s.round;
  for (const q of s.groups.flatMap(g => g.items).slice(0, 6)) {
    send('ask', 'take', JSON.stringify({id: q.id, alike: false, choice: q.choices[0].name}));
    answered++;
    for (;;) {
      const now = JSON.parse((await send('ask', 'state', null)).value);
      busy ||= now.busy;
      if (now.round > round && !now.busy) { round = now.round; break; }
      await new Promise(done => setTimeout(done, 5));
    }
    if (busy) break;
  }
  const left = (await settled()).answered.length;
  check(busy && left === answered, `${name}: while it is repaired anew, the page has its turn (${busy}, ${left} answered)`);
}
check(turned, 'some drawing asks something');
process.exit(failed ? 1 : 0);
