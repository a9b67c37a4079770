
// Schedule is the list of parts, in which they are given a count, tabs, a name and a face.
class Schedule {
  constructor(desk) { this.desk = desk; }

  show() {
    const s = this.desk.state, table = document.querySelector('#parts table'), body = table.tBodies[0];
    const focus = document.activeElement && table.contains(document.activeElement) ? document.activeElement.dataset.focus : null;
    if (focus && document.activeElement.matches('input') && document.activeElement.value !== document.activeElement.dataset.was) { this.desk.shown.parts = ''; return; } // being written in
    document.querySelector('#parts h2 .n').textContent = s.parts.length;
    table.tHead.replaceChildren(make('tr', {}, ...['No.', 'Count', 'Tabs', s.picked ? 'Size' : 'Number on', 'Name'].map(t => make('th', {scope: 'col'}, t))));
    body.replaceChildren(...s.parts.map(p => this.row(p)));
    if (focus) { const f = body.querySelector(`[data-focus="${CSS.escape(focus)}"]`); if (f) f.focus({preventScroll: true}); }
  }

  row(p) {
    const button = p.count ? make('button', {type: 'button', class: 'go part', 'data-focus': `${p.number}/go`, 'aria-label': `Part ${p.number}, show on the drawing`, onclick: () => this.light(p, true)}, p.number) : p.number;
    if (this.desk.state.picked) return make('tr', {}, make('th', {scope: 'row'}, button), make('td', {}, p.count), make('td', {}, p.tabs), make('td', {}, p.size), make('td', {class: 'l'}, p.name));
    const wish = (key, value) => this.desk.send('part', {part: p.number, [key]: value});
    const asked = p.asked >= 0, usual = asked ? p.asked : p.drawn; // without an answer
    const count = make('input', {type: 'number', min: 0, max: 1000, value: p.count, 'data-was': p.count, 'data-focus': `${p.number}/count`, 'aria-label': `How many of part ${p.number}`});
    count.addEventListener('change', () => { if (count.value !== '') wish('count', +count.value === usual ? -1 : +count.value); });
    const kinds = [['', 'as is best'], ['none', 'none'], ...[1, 2, 3, 4, 5, 6, 7, 8].map(n => [`${n}`, `${n}`])];
    if (p.wish === 'places') kinds.splice(1, 0, ['places', 'as put']);
    if (!kinds.some(([k]) => k === p.wish)) kinds.push([p.wish, p.wish]);
    const tabs = make('select', {'data-focus': `${p.number}/tabs`, 'aria-label': `Tabs of part ${p.number}`}, ...kinds.map(([k, t]) => make('option', {value: k, selected: k === p.wish}, t)));
    tabs.addEventListener('change', () => { if (tabs.value !== 'places') wish('tabs', tabs.value); });
    const name = make('input', {class: 'name', value: p.name, maxlength: 80, 'data-was': p.name, 'data-focus': `${p.number}/name`, 'aria-label': `Name of part ${p.number}`});
    name.addEventListener('change', () => wish('name', name.value));
    const face = make('select', {'data-focus': `${p.number}/face`, 'aria-label': `Face of part ${p.number} on which its number is read`}, ...[['', 'as the rest'], ['front', 'front'], ['back', 'back']].map(([k, t]) => make('option', {value: k, selected: k === p.face}, t)));
    face.addEventListener('change', () => wish('face', face.value));
    const note = asked || p.count !== p.drawn ? make('small', {}, `${p.drawn} drawn${asked ? `, the job asks for ${p.asked}` : ''}`) : null;
    return make('tr', {class: p.count ? '' : 'out'}, make('th', {scope: 'row'}, button),
      make('td', {}, count, note), make('td', {}, tabs, make('small', {}, `${p.tabs} now`)), make('td', {}, face), make('td', {class: 'l'}, name, make('small', {}, p.size)));
  }

  light(p, go) {
    for (const x of this.desk.drawn.querySelectorAll('.lit')) x.classList.remove('lit');
    for (const i of p.parts.split(' ')) {
      const f = i && this.desk.drawn.querySelector(`.side.after .fill path[data-p="${i}"]`);
      if (f) f.classList.add('lit');
    }
    if (go) this.desk.board.look(p.go, '', '', true);
  }
}
