// Settles drawings on the page of sluice review in a browser, as a person does: by
// clicks alone, by keys alone, in two windows, on a phone; looks at what is written, at
// what is kept when the program is killed, and at what a hostile drawing and a page of
// somebody else's come to.
//
//   node review.mjs SLUICE FIXTURES FOLDER [PICTURES]
//
// needs playwright-core and axe-core; CHROMIUM names the browser.
import {existsSync, mkdirSync, readFileSync, writeFileSync} from 'node:fs';
import {createServer} from 'node:http';
import {join} from 'node:path';
import {accessible, blank, check, close, count, decided, end, finish, folder, fresh, idle, open, picture, run, serve, state} from './desk.mjs';

const began = Date.now();
const seconds = ms => (ms / 1000).toFixed(1);
const still = {reducedMotion: 'reduce'}; // the board is where it goes at once
const answersIn = file => [...readFileSync(file, 'utf8').split('[[answer]]').slice(1)].map(t => Object.fromEntries([...t.matchAll(/^(\w+)\s*= "(.*)"$/gm)].map(m => [m[1], m[2]])));
const ghostly = p => p.waitForFunction(() => [...document.querySelectorAll('.ghost path')].some(g => g.getAttribute('d')));

// answered does something that decides or takes back, and waits until the page shows it.
async function answered(p, how) {
  const was = await decided(p);
  await how();
  await p.waitForFunction(n => +document.querySelector('#answered h2 .n').textContent !== n, was);
}

// write has the page write, by a click or a key, and returns what it says then.
async function write(p, how) {
  await Promise.all([p.waitForResponse(r => r.url().endsWith('/write')), how()]);
  await idle(p);
  await p.waitForFunction(() => !document.querySelector('#alert').hidden || !document.querySelector('#replace').hidden);
  return p.textContent('#alert');
}

// previews points at choices and looks where on the drawing each is shown.
async function previews(p) {
  const wrong = [], rules = [];
  for (const g of (await state(p)).groups) {
    const it = g.items[0], c = it.choices.find(c => c.shows), b = c && p.locator(`.card:has(#q-${it.id}) [data-choice="${c.name}"]`);
    if (!c || rules.length === 6 || !(await b.isVisible())) continue;
    await b.hover();
    await ghostly(p);
    const at = await p.evaluate(go => {
      const [x, y] = go.split(' ').map(Number), ghost = document.querySelector('.ghost'), g = ghost.getBBox();
      const r = ghost.getBoundingClientRect(), b = document.querySelector('.board').getBoundingClientRect();
      return {off: Math.hypot(Math.max(g.x - x, 0, x - g.x - g.width), Math.max(g.y - y, 0, y - g.y - g.height)), seen: r.right > b.left && r.left < b.right && r.bottom > b.top && r.top < b.bottom && Math.max(r.width, r.height) > 8};
    }, it.go);
    if (at.off > 2 || !at.seen) wrong.push(`${g.rule} ${c.name}: ${at.off.toFixed(1)} mm off, ${at.seen ? 'in' : 'out of'} sight`);
    rules.push(g.rule);
    if (rules.length === 1) await picture(p, 'preview');
  }
  check(rules.length === 6 && !wrong.length, `pointed at, a choice is shown on the drawing where it is asked (${rules.join(', ')}${wrong.length ? `; ${wrong.join('; ')}` : ''})`);
  await p.mouse.move(5, 5);
  check(await p.evaluate(() => [...document.querySelectorAll('.ghost path')].every(g => !g.getAttribute('d'))), 'and no more once the pointer leaves it');
}

// settle takes the first choice of the first card for all alike until nothing is asked.
async function settle(p) {
  const times = [];
  while (await count(p) > 0 && times.length < 150) {
    const card = p.locator('.card').first(), start = Date.now();
    if (!(await card.evaluate(e => e.open))) await card.locator('summary').click();
    const all = card.locator('.pager input');
    if (await all.count()) await all.check();
    await answered(p, () => card.locator('.choices button').first().click());
    await idle(p);
    times.push(Date.now() - start);
  }
  times.sort((a, b) => a - b);
  check(await count(p) === 0, `nothing is left after ${times.length} answers by clicks (${await decided(p)} findings), ${times[times.length >> 1]} ms each in the middle`);
}

// clicks settles the demo by clicks alone, and goes back and forth.
async function clicks() {
  const f = fresh('clicks'), s = await serve(f.kit, '--job', f.job), p = await open(s.at, still);
  const asked = await count(p);
  check(asked >= 20, `${asked} questions at first`);
  await picture(p, 'first');
  await previews(p);
  await p.locator('.card[open] .choices button').first().dblclick();
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent !== '0');
  await idle(p);
  check(await decided(p) === 1, `a double click answers one question (${await decided(p)})`);
  await answered(p, () => p.click('#undo'));
  await idle(p); // else the card may be drawn anew under the pointer
  await settle(p);
  check(await p.textContent('#count span:last-child') === 'Nothing is left to decide', 'the head says so');
  await p.mouse.move(5, 5);
  await p.waitForTimeout(100);
  const framed = await p.evaluate(() => { const b = document.querySelector('.board').getBoundingClientRect(), r = document.querySelector('.side.after .outside').getBoundingClientRect(); return r.left >= b.left && r.right <= b.right && r.top >= b.top && r.bottom <= b.bottom; });
  check(framed, 'the board shows the whole drawing then');
  const told = await write(p, () => p.click('#write'));
  check(told.startsWith('Written'), `Write says what it wrote (${told.slice(0, 7)})`);
  await picture(p, 'settled');
  const settled = readFileSync(f.written), given = answersIn(f.answers);
  const left = JSON.parse(run('lint', '--no-cache', '--job', f.job, '--format', 'json', '--no-answers', f.written)).files[0].findings.filter(x => x.severity !== 'note');
  const accepted = new Set(given.filter(a => a.choice === 'leave').map(a => a.about.split(' ')[0]));
  check(left.every(x => accepted.has(x.rule)), `what was written has no error and no warning but what was accepted (${left.map(x => x.rule).join(', ') || 'none'})`);
  check(existsSync(join(f.dir, 'kit-jet.html')), 'the report is written too');

  let back = 0;
  for (; back < 150 && await p.isEnabled('#undo'); back++) await answered(p, () => p.click('#undo'));
  await idle(p);
  check(await decided(p) === 0 && await count(p) === asked, `undone step by step, all is asked again (${back} steps, ${await count(p)} of ${asked} asked, ${await decided(p)} decided)`);
  await write(p, () => p.click('#write'));
  run('fix', f.kit, '--job', f.job, '-o', join(f.dir, 'plain.dxf'), '--no-answers', '--fail-on', 'never', '--quiet');
  check(readFileSync(f.written).equals(readFileSync(join(f.dir, 'plain.dxf'))), 'what is written then has the bytes of fix without answers');
  check(!existsSync(f.answers), 'no file of answers is left');
  let forth = 0;
  for (; forth < 150 && await p.isEnabled('#redo'); forth++) await answered(p, () => p.click('#redo'));
  await idle(p);
  await write(p, () => p.click('#write'));
  check(forth === back && readFileSync(f.written).equals(settled), `gone forth again by ${forth} steps, it has the bytes of before`);
  check(p.wrong.length === 0, `nothing goes wrong, and nothing is asked of anybody else (${p.wrong.join('; ')})`);
  await close(p);
  await end(s);
}

// reach goes through all questions by a key.
async function reach(p, press, most = 1000) {
  const ids = (await state(p)).groups.flatMap(g => g.items.map(it => `q-${it.id}`)).slice(0, most), hidden = [], seen = [];
  for (let i = 0; i < ids.length; i++) {
    await press('n');
    const [id, clear] = await p.evaluate(() => {
      const e = document.activeElement, r = e.getBoundingClientRect(), top = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);
      return [e.id, !!top && e.contains(top)];
    });
    seen.push(id);
    if (!clear) hidden.push(id);
  }
  check(ids.every(id => seen.includes(id)) && !hidden.length, `N reaches all ${ids.length} questions, each in sight (${new Set(seen).size} reached, ${hidden.length} covered)`);
  await press('p');
  check(await p.evaluate(() => document.activeElement.id) === seen.at(-2), 'P goes back to the one before');
  await press('n');
}

// keys settles the demo by keys alone, with a second window beside it.
async function keys() {
  const f = fresh('keys'), s = await serve(f.kit, '--job', f.job);
  writeFileSync(f.written, 'older');
  const p = await open(s.at, still), q = await open(s.at, still);
  const tried = new Set(), press = async k => { tried.add(k.toUpperCase()); await p.keyboard.press(k); };
  await reach(p, press);
  await press('n'); // from the last to the first, whose choices can be shown
  for (let i = 0; i < 5 && !(await p.evaluate(() => document.activeElement.dataset.choice)); i++) await p.keyboard.press('Tab');
  await ghostly(p);
  check(true, 'Tab goes on to the choices, and the one reached is shown on the drawing');

  const name = q.locator('#parts input.name').first();
  await name.focus();
  await q.keyboard.type('boom');
  await answered(p, () => p.keyboard.press('Enter'));
  await q.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '1');
  check(true, 'Enter takes it, and the other window shows it');
  await idle(p);
  await idle(q);
  const drawn = x => x.evaluate(() => [...document.querySelectorAll('.drawn path')].map(e => e.getAttribute('d')).join());
  check(await drawn(p) === await drawn(q), 'the two show the same drawing');
  check(await name.inputValue() === 'boom' && await name.evaluate(e => e === document.activeElement), 'what is being written in the other stays there');
  await name.fill('');
  await name.evaluate(e => e.blur());
  await q.keyboard.press('u');
  await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent === '0');
  check(true, 'the other window takes it back');
  await answered(p, () => press('r'));
  await answered(p, () => press('u'));
  check(true, 'U and R take it back and make it again');
  await close(q);
  await keysAll(p, press);
  await keysWrite(p, press, f);
  await keysBoard(p, press);
  const shown = await p.locator('.hints.of-drawing kbd').allTextContents(), keyOf = k => ({ESC: 'ESCAPE', ARROWS: 'ARROWLEFT', '−': '-'})[k.toUpperCase()] || k.toUpperCase();
  check(await p.locator('.hints.of-drawing').isVisible() && [...tried].sort().join(' ') === [...new Set(shown.map(keyOf))].sort().join(' '), `the page's help names the keys that work (${shown.join(' ')}; tried ${[...tried].join(' ')})`);
  check(p.wrong.length === 0, `nothing goes wrong (${p.wrong.join('; ')})`);
  await close(p);
  await end(s);
}

// keysAll answers everything by keys.
async function keysAll(p, press) {
  let n = 0;
  for (; n < 150 && await count(p) > 0; n++) {
    if (n === 0) { // a key held down answers once
      await p.keyboard.down('1');
      for (let i = 0; i < 10; i++) { await p.keyboard.down('1'); await p.waitForTimeout(20); }
      await p.keyboard.up('1');
      await p.waitForFunction(() => document.querySelector('#answered h2 .n').textContent !== '0');
      check(await decided(p) === 1, `a key held down answers one question (${await decided(p)})`);
      continue;
    }
    await idle(p); // a question that an answer before has settled is asked no more
    const alike = await p.locator('.card.now .pager input').count();
    if (alike) await press('a');
    if (alike && !(await p.locator('.card.now .pager input').isChecked())) check(false, 'A takes all alike');
    const was = await decided(p);
    await press('1');
    await p.waitForFunction(n => +document.querySelector('#answered h2 .n').textContent !== n, was, {timeout: 10000}).catch(() => {});
    if (await count(p) === 0) await idle(p);
  }
  check(await count(p) === 0, `nothing is left after ${n} answers by keys (${await decided(p)} findings)`);
}

// keysWrite writes by keys where something is there already.
async function keysWrite(p, press, f) {
  await write(p, () => press('w'));
  await press('Escape');
  check(readFileSync(f.written, 'utf8') === 'older' && await p.locator('#replace').isHidden() && await p.evaluate(() => document.activeElement.id) === 'write', 'what is there is asked about, and kept by Escape');
  await write(p, () => press('w'));
  await accessible(p, 'asking whether to replace');
  await picture(p, 'replace');
  const told = await write(p, () => p.keyboard.press('Enter'));
  check(told.startsWith('Written') && readFileSync(f.written).length > 1000, 'and replaced by Enter');
}

// keysBoard moves the drawing, and a number on it, by keys.
async function keysBoard(p, press) {
  const box = () => p.evaluate(() => document.querySelector('.board>svg').getAttribute('viewBox')), side = () => p.evaluate(() => document.querySelector('.switch input:checked').value);
  await p.locator('.board.of-drawing').focus();
  const views = [];
  for (const k of ['ArrowLeft', '+', '-', '9', '0']) {
    await press(k);
    await p.waitForFunction(v => document.querySelector('.board>svg').getAttribute('viewBox') !== v, views.at(-1) || '');
    views.push(await box());
  }
  check(new Set(views).size >= 4, 'arrows, plus, minus, 9 and 0 move the board');
  await press('b');
  check(await side() === 'before', 'B shows it as drawn');
  await press('b');
  await press('m');
  const grip = p.locator('.grip.number').first();
  await grip.focus();
  await p.keyboard.press('ArrowRight');
  await p.waitForFunction(() => !document.querySelector('#gripped').hidden);
  await press('Escape');
  check(await p.locator('#gripped').isHidden(), 'a number is moved by keys, and left where it was by Escape');
  await press('m');
  await press('l');
  check(await p.locator('#lay').isVisible(), 'L shows the sheets');
  await press('l');
}

// parts gives parts a count, drags a tab and leaves a part out.
async function parts() {
  const f = fresh('parts'), s = await serve(f.kit, '--job', f.job), p = await open(s.at, still);
  await p.fill('[data-focus="9/count"]', '2');
  await answered(p, () => p.keyboard.press('Tab'));
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
    if (i === 0) await picture(p, 'drag');
    await p.mouse.up();
    await p.waitForTimeout(150);
    await idle(p);
    moved = !refused && readFileSync(f.answers, 'utf8').includes('tabs   = ["');
  }
  check(moved, 'a tab dragged along an outline stays there, and is kept');
  await p.fill('[data-focus="36/count"]', '0');
  await p.keyboard.press('Tab');
  await p.waitForFunction(() => document.querySelector('#parts tr.out'));
  check(true, 'a part that is left out stays in the list');
  await idle(p);
  await accessible(p, 'with grips');
  await p.locator('#parts').scrollIntoViewIfNeeded();
  await picture(p, 'parts');
  await close(p);
  await end(s);
}

// killed ends the program outright right after an answer, and while it takes one.
async function killed() {
  const f = fresh('killed'), again = () => serve(f.kit, '--job', f.job);
  let s = await again(), p = await open(s.at);
  const [taken] = await Promise.all([p.waitForResponse(r => r.url().endsWith('/take')), p.keyboard.press('1')]);
  await end(s);
  check(taken.status() === 204 && answersIn(f.answers).length === 1, 'killed right after an answer, the program loses none');
  await p.waitForFunction(() => document.querySelector('#alert').textContent.includes('has ended'));
  check(true, 'the page says that the program has ended');
  await close(p);
  s = await again();
  p = await open(s.at);
  check(await decided(p) === 1, 'opened again, the answer is there');
  await Promise.all([p.waitForRequest(r => r.url().endsWith('/take')), p.keyboard.press('1')]);
  await end(s);
  await close(p);
  s = await again();
  p = await open(s.at);
  const n = await decided(p);
  check(n === answersIn(f.answers).length && n >= 1 && p.wrong.length === 0, `killed while it takes one, the file of answers is whole (${n} answers)`);
  await close(p);
  await looks(s.at);
  await end(s);
}

// looks has the page looked at by axe-core and by people: light, dark, narrow, on a phone.
async function looks(at) {
  for (const colorScheme of ['light', 'dark']) {
    const p = await open(at, {colorScheme});
    await accessible(p, colorScheme);
    await picture(p, colorScheme);
    if (colorScheme === 'light') {
      for (const width of [1000, 640]) { await p.setViewportSize({width, height: 800}); await p.waitForTimeout(100); await picture(p, `wide-${width}`); }
      check(await p.locator('.hints.of-drawing').isVisible(), 'a narrow window of a machine with keys still names them');
      await reach(p, k => p.keyboard.press(k), 30);
    }
    await close(p);
  }
  const p = await open(at, {...still, viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true}), n = await decided(p);
  await accessible(p, 'phone');
  const wide = await p.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  check(wide <= 0, `on a phone nothing is wider than the screen (${wide} px)`);
  await picture(p, 'phone-first');
  await p.locator('.card[open] .choices button').first().tap();
  await ghostly(p);
  check(await p.locator('.armed').count() === 1 && await decided(p) === n, 'on a phone the first tap shows a choice');
  await picture(p, 'phone');
  await answered(p, () => p.locator('.armed').tap());
  check(await decided(p) === n + 1, 'the second takes it');
  await idle(p);
  await p.locator('#parts').scrollIntoViewIfNeeded();
  await picture(p, 'phone-parts');
  await close(p);
}

// foreign has a page of somebody else's, open in the same browser and knowing even the
// address, try to read the desk and to change it.
async function foreign() {
  const f = fresh('foreign'), s = await serve(f.kit, '--job', f.job), own = await open(s.at), id = (await state(own)).groups[0].items[0].id;
  const answer = JSON.stringify({id, choice: 'leave'});
  const host = createServer((_, res) => res.writeHead(200, {'Content-Type': 'text/html'}).end('<title>kits</title><iframe name="there"></iframe>')).listen(0);
  const p = await blank(), met = [];
  p.on('response', r => { if (r.url().startsWith(s.at)) met.push(r.status()); });
  await p.goto(`http://127.0.0.1:${host.address().port}/`);
  const got = await p.evaluate(async ([at, answer]) => {
    const tried = [], note = x => tried.push(x);
    const loads = (name, attrs) => new Promise(done => { const e = Object.assign(document.createElement(name), attrs); e.onload = () => done('loaded'); e.onerror = () => done('refused'); document.body.append(e); });
    const json = {'Content-Type': 'application/json'};
    for (const [what, how] of [['state', {}], ['state', {mode: 'no-cors'}], ['take', {method: 'POST', body: answer}], ['take', {method: 'POST', mode: 'no-cors', body: answer}], ['take', {method: 'POST', headers: json, body: answer}], ['undo', {method: 'POST', mode: 'no-cors', body: '{}'}]]) {
      try { note((await (await fetch(at + what, how)).text()) || 'nothing'); } catch { note('refused'); }
    }
    note(await loads('script', {src: `${at}state`}));
    note(await loads('img', {src: `${at}picture`}));
    note(await new Promise(done => { const e = new EventSource(`${at}events`); e.onmessage = () => done('heard'); e.onerror = () => done('refused'); }));
    return tried;
  }, [s.at, answer]);
  check(got.every(x => x === 'refused' || x === 'nothing'), `a page of another origin reads nothing (${got.join(', ')})`);
  await p.evaluate(([at, answer]) => {
    const form = Object.assign(document.createElement('form'), {action: `${at}take`, method: 'POST', enctype: 'text/plain', target: 'there'});
    const cut = answer.lastIndexOf('leave');
    form.append(Object.assign(document.createElement('input'), {name: `${answer.slice(0, cut)}leave","note":"`, value: '"}'}));
    document.body.append(form);
    form.submit();
  }, [s.at, answer]);
  await p.waitForTimeout(200);
  await p.evaluate(at => { document.querySelector('iframe').src = at; }, s.at);
  await p.waitForTimeout(200);
  check(!p.frames().some(x => x !== p.mainFrame() && x.url().startsWith(s.at) && !x.isDetached()) || await p.frames()[1].locator('#write').count() === 0, 'and shows nothing of it in a frame');
  check(met.length > 0 && met.every(x => x === 403), `each is answered that it is not for them (${met.join(', ')})`);
  check(!existsSync(f.answers) && await decided(own) === 0, 'and nothing is decided by it');
  const mine = await own.evaluate(async answer => (await fetch('take', {method: 'POST', headers: {'Content-Type': 'application/json'}, body: answer})).status, answer);
  check(mine === 204 && answersIn(f.answers).length === 1, 'what it tried is taken from the page of our own');
  host.close();
  await close(p);
  await close(own);
  await end(s);
}

// hostile opens a drawing whose names and texts would be markup.
async function hostile() {
  const dir = join(folder, 'hostile'), bad = '"><img src=x onerror=alert(1)><script>alert(2)</script>', e = [];
  mkdirSync(dir, {recursive: true});
  for (const [x, y] of [[0, 0], [200, 0]]) e.push(`0\nLWPOLYLINE\n8\n${bad}\n90\n4\n70\n1\n10\n${x}\n20\n${y}\n10\n${x + 100}\n20\n${y}\n10\n${x + 100}\n20\n80\n10\n${x}\n20\n80\n`);
  e.push(`0\nLINE\n8\nhidden ${bad}\n10\n20\n20\n20\n11\n60\n21\n20\n`, `0\nLINE\n8\n${bad}\n10\n20\n20\n40\n11\n60\n21\n40\n`, `0\nTEXT\n8\n${bad}\n10\n20\n20\n60\n40\n5\n1\n${bad}\n`);
  const kit = join(dir, 'kit "><img src=x onerror=alert(3)>.dxf'), answers = kit.replace(/dxf$/, 'answers.toml');
  writeFileSync(kit, `0\nSECTION\n2\nENTITIES\n${e.join('')}0\nENDSEC\n0\nEOF\n`);
  writeFileSync(answers, `[[answer]]\nfinding = "none"\nabout = '${bad}'\nchoice = "leave"\nnote = '${bad}'\n\n[[part]]\npart = "1"\nname = '${bad}'\n`);
  const s = await serve(kit), p = await open(s.at, still);
  const inert = async () => await p.locator('main img, main script, header img').count() === 0 && p.wrong.length === 0;
  const shown = await p.evaluate(() => document.body.innerText + [...document.querySelectorAll('#parts input.name')].map(i => i.value).join());
  check(shown.split('<script>alert(2)').length > 3 && shown.includes('onerror=alert(3)'), `names and texts of a hostile drawing are shown as they are (${shown.split('<script>alert(2)').length - 1} times)`);
  await picture(p, 'hostile');
  await settle(p);
  const told = await write(p, () => p.click('#write'));
  check(told.includes('onerror=alert(3)') && await inert(), `and stay inert through all answers (${p.wrong.join('; ')})`);
  await close(p);
  await end(s);
}

// large opens a drawing of 100,000 entities: figures are told, and fail only where they
// are ten times what they should be.
async function large() {
  const dir = join(folder, 'large'), e = [];
  mkdirSync(dir, {recursive: true});
  for (let i = 0; i < 501; i++) {
    const x = 600 * (i % 25), y = 600 * Math.floor(i / 25), at = k => [x + (k % 2 ? 260 : 240) * Math.cos(Math.PI * k / 100), y + (k % 2 ? 260 : 240) * Math.sin(Math.PI * k / 100)];
    for (let k = 0; k < 200; k++) {
      if (i % 50 === 7 && k === 3) continue; // a gap to be asked about
      const [ax, ay] = at(k), [bx, by] = at((k + 1) % 200);
      e.push(`0\nLINE\n8\n0\n10\n${ax.toFixed(4)}\n20\n${ay.toFixed(4)}\n11\n${bx.toFixed(4)}\n21\n${by.toFixed(4)}\n`);
    }
  }
  writeFileSync(join(dir, 'kit.dxf'), `0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n${e.join('')}0\nENDSEC\n0\nEOF\n`);
  const p = await blank(), s = await serve(join(dir, 'kit.dxf'));
  await p.goto(s.at);
  await p.locator('.card .choices button').first().waitFor();
  const opened = Date.now() - s.started;
  check(opened < 30000, `a drawing of ${e.length} entities opens in ${seconds(opened)} s (should be 3)`);
  await idle(p);
  const start = Date.now();
  await answered(p, () => p.locator('.card .choices button').first().click());
  const took = Date.now() - start;
  check(took < 20000, `an answer is taken in ${seconds(took)} s (should be 2)`);
  await picture(p, 'large');
  await close(p);
  await end(s);
}

// Two at a time, since most of it is waiting; the large drawing alone, since it is timed.
const timed = async scenes => { for (const scene of scenes) { const start = Date.now(); await scene(); console.log(`     ${scene.name}: ${seconds(Date.now() - start)} s`); } };
await timed([large]);
await Promise.all([timed([clicks, hostile]), timed([keys, parts, killed, foreign])]);
await finish(); // which says what failed
console.log(`     all: ${seconds(Date.now() - began)} s`);
