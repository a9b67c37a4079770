
// Two drawings: over each other, one or the other, blinking, or side by side on
// two boards that move together.
{
  const file = shown, el = file.el, main = file.board;
  const boards = el.querySelector('.boards'), holder = el.querySelector('.second'), which = main.el.querySelector('.which');
  let mode = 'both', second = null, beat = 0;

  const showSide = side => {
    for (const s of ['before', 'after', 'both']) main.el.classList.toggle(`show-${s}`, s === side);
    which.textContent = side === 'both' ? '' : side;
  };

  // follow lets one board do what the other does.
  const follow = (a, b) => {
    const draw = a.draw;
    a.draw = function (now) {
      draw.call(a, now);
      if (mode !== 'split' || b.led || !a.view || !b.w) return;
      a.led = true;
      b.view = {...a.view};
      b.draw(now);
      a.led = false;
    };
  };

  const openSecond = () => {
    holder.hidden = false;
    if (second) return;
    const svg = holder.querySelector('svg'), gauge = svg.querySelector('.gauge');
    for (const g of main.svg.querySelectorAll(':scope > .side')) svg.insertBefore(g.cloneNode(true), gauge);
    second = new Board(holder);
    second.onPick = (at, target) => file.pick(at, target);
    for (const c of main.el.classList) if (c.startsWith('no-')) second.el.classList.add(c);
    follow(main, second);
    follow(second, main);
    for (const name of ['look', 'forget']) {
      const was = main[name];
      main[name] = function (...args) {
        second.setGauge(name === 'look' ? args[1] : '');
        was.apply(main, args);
        second.focus = main.focus;
        second.tag.textContent = main.tag.textContent;
        second.drawPin();
      };
    }
  };

  // In these modes both drawings are in sight, so that no row needs to switch.
  Object.defineProperty(file, 'side', {get: () => mode === 'blink' || mode === 'split' ? 'both' : mode});

  file.setSide = next => {
    clearInterval(beat);
    mode = next;
    if (mode === 'split') openSecond(); else holder.hidden = true;
    boards.classList.toggle('split', mode === 'split');
    showSide(mode === 'split' ? 'before' : mode === 'blink' ? 'after' : mode);
    if (mode === 'blink' && !still.matches) {
      beat = setInterval(() => showSide(main.el.classList.contains('show-after') ? 'before' : 'after'), 700);
    }
    for (const r of el.querySelectorAll('.switch input')) r.checked = r.value === mode;
    main.resize();
    if (second && mode === 'split') { second.view = {...main.view}; second.resize(); }
  };

  file.flip = () => {
    if (mode === 'blink' && still.matches) showSide(main.el.classList.contains('show-after') ? 'before' : 'after');
    else file.setSide(mode === 'after' ? 'before' : 'after');
  };

  el.addEventListener('change', e => {
    const name = e.target.dataset.layer;
    if (name && second) second.el.classList.toggle(`no-${name}`, !e.target.checked);
  });

  addEventListener('keydown', e => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target.closest('input:not([type=checkbox]):not([type=radio]),textarea')) return;
    const next = {o: 'both', s: 'split', k: 'blink'}[e.key.toLowerCase()];
    if (next) file.setSide(next);
  });
  addEventListener('beforeprint', () => file.setSide('both'));
}
