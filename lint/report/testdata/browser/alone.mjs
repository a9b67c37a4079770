// Settles the demo on the page of sluice page, opened as a file: by dropping, by
// choosing, on a phone; lays it out there; compares what is saved with what sluice fix
// writes, and sees to it that the page asks nobody for anything.
//
//   node alone.mjs SLUICE FIXTURES FOLDER PICTURES PAGE
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {existsSync, readFileSync, writeFileSync} from 'node:fs';
import {createServer} from 'node:http';
import {basename, join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';
import {accessible, blank, check, close, count, decided, finish, fresh, picture, run} from './desk.mjs';

const page = resolve(process.argv[6]), address = pathToFileURL(page).href;
const same = (a, b) => Buffer.compare(readFileSync(a), readFileSync(b)) === 0;

// idle waits until the page shows the drawing as repaired.
const idle = p => p.waitForFunction(() => !document.body.classList.contains('start') && !document.querySelector('#write').disabled && !document.body.classList.contains('working'));

async function open(options = {}) {
  const p = await blank({reducedMotion: 'reduce', offline: true, acceptDownloads: true, ...options});
  p.on('request', r => { if (r.url() !== address && !r.url().startsWith('blob:')) p.wrong.push(`asks for ${r.url().slice(0, 80)}`); });
  p.on('console', m => { if (m.type() === 'error') p.wrong.push(m.text()); });
  await p.goto(address);
  return p;
}

// drop lets files fall onto the page, as a person's hand does.
async function drop(p, ...paths) {
  const files = paths.map(f => ({name: basename(f), text: readFileSync(f, 'latin1')}));
  await p.evaluate(files => {
    const data = new DataTransfer();
    for (const f of files) data.items.add(new File([Uint8Array.from(f.text, c => c.charCodeAt(0))], f.name));
    for (const kind of ['dragover', 'drop']) document.querySelector('main').dispatchEvent(new DragEvent(kind, {bubbles: true, cancelable: true, dataTransfer: data}));
  }, files);
}

// save has the page save, and puts what comes into a folder.
async function save(p, dir, how) {
  const saved = async act => { const [d] = await Promise.all([p.waitForEvent('download'), act()]), to = join(dir, `saved-${d.suggestedFilename()}`); await d.saveAs(to); return to; };
  const list = [await saved(how)];
  for (const a of (await p.locator('#saved a').all()).slice(1)) list.push(await saved(() => a.click()));
  return list;
}

// dropped drops the demo with its job, decides one question, and saves.
async function dropped() {
  const f = fresh('alone'), p = await open();
  await p.waitForFunction(() => !document.querySelector('#starting').textContent);
  await picture(p, 'alone-start');
  await accessible(p, 'the page before there is a drawing');
  await drop(p, f.kit, f.job);
  await idle(p);
  const asked = await count(p);
  check(asked >= 20 && await p.textContent('h1#name') === 'kit.dxf', `dropped, the demo asks ${asked} questions`);
  await picture(p, 'alone-desk');
  await accessible(p, 'the desk');
  const plain = await save(p, f.dir, () => p.click('#write'));
  run('fix', f.kit, '--job', f.job, '-o', join(f.dir, 'kit-jet.dxf'), '--report', join(f.dir, 'kit-jet.html'), '--fail-on', 'never', '--quiet');
  check(plain.length === 2 && same(plain[0], f.written), 'saved before anything is decided, the drawing is what fix writes');
  check(readFileSync(plain[1], 'utf8').includes('repair report'), 'and the report is one');
  await p.locator('.card[open] .choices button').first().click();
  await p.waitForFunction(() => +document.querySelector('#answered h2 .n').textContent > 0);
  await idle(p);
  check(await decided(p) === 1 && await count(p) < asked + 3, 'a choice is taken');
  const settled = await save(p, f.dir, () => p.click('#write'));
  check(settled.length === 3 && existsSync(settled[2]) && basename(settled[2]) === 'saved-kit.answers.toml', `the answers are offered too: ${settled.map(s => basename(s)).join(', ')}`);
  writeFileSync(f.answers, readFileSync(settled[2]));
  run('fix', f.kit, '--job', f.job, '-o', f.written, '--report', join(f.dir, 'kit-jet.html'), '--fail-on', 'never', '--quiet', '--force');
  check(same(settled[0], f.written), 'with these answers fix writes the same drawing');
  await picture(p, 'alone-saved');
  await accessible(p, 'the desk once it was saved');
  await p.click('#undo');
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '0');
  await idle(p);
  const back = await save(p, f.dir, () => p.keyboard.press('w'));
  run('fix', f.kit, '--job', f.job, '-o', f.written, '--no-answers', '--fail-on', 'never', '--quiet', '--force');
  check(back.length === 2 && same(back[0], f.written), 'taken back, the drawing is that of before');
  check(p.wrong.length === 0, `nothing is asked of anybody, and nothing goes wrong ${p.wrong.join('; ')}`);
  await close(p);
}

// chosen chooses the drawing on a phone, with a thickness given on the page.
async function chosen() {
  const f = fresh('alone-phone'), p = await open({viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true, colorScheme: 'dark'});
  await picture(p, 'alone-phone-start');
  await p.fill('[name="sheet.thickness"]', '3/16in');
  await p.fill('[name="jet.kerf"]', 'wide');
  await p.setInputFiles('#files', f.kit);
  await p.waitForFunction(() => !document.querySelector('#trouble').hidden);
  check((await p.textContent('#trouble')).startsWith('kerf: '), `a length that is none is told: ${await p.textContent('#trouble')}`);
  await p.fill('[name="jet.kerf"]', '0.9mm');
  await p.setInputFiles('#files', f.kit);
  await idle(p);
  const wide = await p.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  check(wide <= 0, `nothing stands out to the side of a phone (${wide})`);
  await picture(p, 'alone-phone');
  await accessible(p, 'the desk on a phone');
  await p.locator('.shop summary').tap();
  await p.fill('[name="jet.kerf"]', '1.1mm');
  await p.selectOption('[name="fit.refit"]', 'slots');
  await p.locator('#shop button').tap();
  await p.waitForFunction(() => document.querySelector('#write').disabled || document.body.classList.contains('working'));
  await idle(p);
  const [saved] = await save(p, f.dir, () => p.locator('#write').tap());
  run('fix', f.kit, '--thickness', '3/16in', '--kerf', '1.1mm', '--refit', 'slots', '-o', f.written, '--fail-on', 'never', '--quiet');
  check(same(saved, f.written), 'with thickness, kerf and slots to redraw given on the page, the drawing is what fix writes with them');
  check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
  await close(p);
}

// refused hands over what the page cannot take.
async function refused() {
  const f = fresh('alone-refused'), p = await open();
  for (const [name, text, told] of [['kit.dwg', 'AC1018', 'DWG'], ['kit.png', 'x', 'neither'], ['bad.toml', '[jet]\nkerv = 1\n', ''], ['kit.dxf', 'not a drawing', '']]) {
    const path = join(f.dir, name);
    writeFileSync(path, text);
    await drop(p, path);
    if (told) await p.waitForFunction(t => document.querySelector('#trouble').textContent.includes(t), told);
  }
  await p.waitForFunction(() => !document.querySelector('#trouble').hidden && document.querySelector('#trouble').textContent.includes('kerv'));
  check(true, `what cannot be taken is told in a line: ${await p.textContent('#trouble')}`);
  check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
  await close(p);
}

// served opens the page from a place that serves files, and ends the program within it.
async function served() {
  const asked = [], host = createServer((r, w) => { asked.push(r.url); w.writeHead(200, {'Content-Type': 'text/html'}); w.end(readFileSync(page)); });
  await new Promise(done => host.listen(0, '127.0.0.1', done));
  const f = fresh('alone-served'), p = await blank({reducedMotion: 'reduce', acceptDownloads: true});
  await p.goto(`http://127.0.0.1:${host.address().port}/any/where.html`);
  await p.setInputFiles('#files', [f.kit, f.job]);
  await idle(p);
  await p.locator('.card[open] .choices button').first().click();
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '1');
  await idle(p);
  check(asked.join() === '/any/where.html', `served, the page asks for nothing but itself: ${asked.join(' ')}`);
  await p.workers()[0].evaluate(() => globalThis.postMessage({end: true}));
  await p.waitForFunction(() => document.querySelector('#alert').textContent.includes('has ended'));
  const [d] = await Promise.all([p.waitForEvent('download'), p.click('#saved a')]);
  await d.saveAs(f.answers);
  check(readFileSync(f.answers, 'utf8').includes('[[answer]]'), 'should the program end, the answers can still be saved');
  await picture(p, 'alone-ended');
  check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
  await close(p);
  host.close();
}

// laid lays the parts out, stops that by hand, saves the sheets, and has fix come to the same
// with all parts pinned.
async function laid() {
  const f = fresh('alone-laid'), p = await open({viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true});
  writeFileSync(f.job, readFileSync(f.job, 'utf8').replace(/size = .*/, 'size = ["400mm", "350mm"]') + '\n[layout]\nsheets = 4\nseconds = 1\n');
  await drop(p, f.kit, f.job);
  await idle(p);
  await p.locator('.switch input[value=laid]').tap();
  await p.selectOption('#lay-time', '1800');
  await p.locator('#lay').tap();
  const lie = () => p.locator('.lie').count();
  await p.waitForFunction(() => document.querySelectorAll('.lie').length > 20);
  const said = await p.evaluate(() => { document.querySelector('#lay-stop').click(); return document.querySelector('#lay-stand').textContent; });
  check(said.startsWith('Stopping') && await p.isDisabled('#lay-stop'), `asked to stop, it says at once that it does (${said})`);
  await p.waitForFunction(() => document.querySelector('#lay-run').hidden && !document.querySelector('#write').disabled);
  const all = await lie(), stand = await p.textContent('#lay-stand');
  check(all > 20 && !stand.startsWith('Stopping'), `stopped, what was found stands (${stand})`);
  const boxes = await p.locator('.sheets .stock').evaluateAll(list => list.map(e => { const b = e.getBoundingClientRect(); return [b.left, b.top, b.bottom]; }));
  check(boxes.length > 1 && boxes.every((b, i) => i === 0 || Math.abs(b[0] - boxes[0][0]) < 1 && b[1] > boxes[i - 1][2]), `on a phone the ${boxes.length} sheets are below each other`);
  await p.locator('.board.laid').scrollIntoViewIfNeeded();
  await picture(p, 'alone-laid');
  await accessible(p, 'a layout on a phone');
  await p.locator('#lay-pin').tap();
  await p.waitForFunction(n => document.querySelectorAll('.lie.pinned').length === n && document.querySelector('#lay-run').hidden && !document.querySelector('#write').disabled && !document.body.classList.contains('working'), all);
  const saved = await save(p, f.dir, () => p.locator('#write').tap()), named = end => saved.find(s => s.endsWith(end));
  check(boxes.every((_, i) => named(`-jet-${i + 1}.dxf`)) && !!named('.html') && !!named('.answers.toml'), `a drawing a sheet, the report and the answers are saved: ${saved.map(s => basename(s)).join(', ')}`);
  writeFileSync(f.answers, readFileSync(named('.answers.toml')));
  run('fix', f.kit, '--job', f.job, '--layout', '-o', f.written, '--fail-on', 'never', '--quiet');
  check(boxes.every((_, i) => same(named(`-jet-${i + 1}.dxf`), f.written.replace('.dxf', `-${i + 1}.dxf`))), 'with all parts pinned fix --layout writes the same sheets');
  check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
  await close(p);
}

// old opens the page in a browser that cannot unpack the program, and in one without threads.
async function old() {
  for (const lacks of ['DecompressionStream', 'Worker']) {
    const p = await blank();
    if (lacks === 'Worker') await p.addInitScript(() => { window.Worker = undefined; });
    else await p.addInitScript(() => { const Real = window.Blob; window.Blob = class extends Real { constructor(parts, o) { super(['delete globalThis.DecompressionStream;', ...parts], o); } }; });
    await p.goto(address);
    await p.waitForFunction(() => !document.querySelector('#trouble').hidden);
    const told = await p.textContent('#trouble');
    check(told.includes(lacks) && told.includes('A browser of 2023 or later') && !(await p.textContent('#starting')), `without ${lacks}: ${told}`);
    check(p.wrong.length === 0, `nothing goes wrong ${p.wrong.join('; ')}`);
    await close(p);
  }
}

await dropped();
await old();
await served();
await chosen();
await laid();
await refused();
await finish();
