// Chooses a drawing on the page of sluice review --choose, as a person does: what is no
// drawing, a file, a drop, a path; looks at what is said, and where the page goes on.
//
//   node choose.mjs SLUICE FIXTURES FOLDER [PICTURES]
import {existsSync, mkdirSync, readFileSync, writeFileSync} from 'node:fs';
import {join} from 'node:path';
import {accessible, blank, check, close, count, end, finish, folder, fresh, idle, picture, serve} from './desk.mjs';

const home = join(folder, 'home');
mkdirSync(join(home, 'Downloads'), {recursive: true});
Object.assign(process.env, {HOME: home, XDG_CACHE_HOME: join(home, 'cache')});
const {kit} = fresh('choose');
const bad = join(folder, 'choose', 'bad.dxf');
writeFileSync(bad, 'not a drawing\n');

// chosen opens the page and has a drawing chosen on it; the desk must show it.
async function chosen(what, options, how, then) {
  const s = await serve('--choose', '--units', 'mm'), p = await blank(options);
  await p.goto(s.at);
  await how(p);
  await p.locator('#asked').waitFor();
  await idle(p);
  check(await count(p) > 20, `${what}: the page goes on at the desk`);
  if (then) await then(p);
  check(!p.wrong.length, `${what}: nothing goes wrong ${p.wrong.join('; ')}`);
  await close(p);
  await end(s);
}

await chosen('a file', {}, async p => {
  await accessible(p, 'choose');
  await picture(p, 'choose');
  await p.setInputFiles('#file', bad);
  await p.locator('#trouble').waitFor();
  const told = await p.textContent('#trouble p');
  check(told.startsWith('bad.dxf: ') && await p.isVisible('#another'), `what is no drawing is told, with a way to choose another (${told})`);
  await accessible(p, 'choose, with trouble');
  await picture(p, 'choose-trouble');
  await Promise.all([p.waitForEvent('filechooser').then(c => c.setFiles(kit)), p.click('#another')]);
}, async p => {
  check(await p.textContent('h1') === 'kit.dxf', 'the desk names the drawing as the person does');
  await p.click('#write');
  await p.waitForFunction(() => !document.querySelector('#alert').hidden);
  check(existsSync(join(home, 'Downloads', 'kit-jet.dxf')) && existsSync(join(home, 'Downloads', 'kit-jet.html')), 'Write puts the drawing and its report into the folder of downloads');
});

await chosen('a drop', {colorScheme: 'dark', viewport: {width: 390, height: 800}}, async p => {
  await picture(p, 'choose-phone');
  const data = await p.evaluateHandle(text => { const d = new DataTransfer(); d.items.add(new File([text], 'kit.dxf')); return d; }, readFileSync(kit, 'utf8'));
  await p.dispatchEvent('.drop', 'dragover', {dataTransfer: data});
  check(await p.evaluate(() => document.body.classList.contains('over')), 'the page shows that it takes a drop');
  await p.dispatchEvent('.drop', 'drop', {dataTransfer: data});
});

await chosen('a path', {}, async p => {
  await p.fill('#path', join(folder, 'none.dxf'));
  await p.press('#path', 'Enter');
  await p.locator('#trouble').waitFor();
  await p.fill('#path', `"${kit}"`);
  await p.press('#path', 'Enter');
});
await finish();
