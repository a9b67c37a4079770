(() => {
  const $ = id => document.getElementById(id);
  let busy = false;

  const tell = text => {
    $('trouble').firstElementChild.textContent = text;
    $('trouble').hidden = !text;
  };
  const work = text => {
    busy = !!text;
    $('reading').textContent = text;
    document.body.classList.toggle('busy', busy);
  };

  // send hands a drawing over; what keeps it from being opened is told.
  async function send(what, name, type, body) {
    if (busy) return;
    tell('');
    work(`Reading ${name} …`);
    let text;
    try {
      const r = await fetch(what, {method: 'POST', headers: {'Content-Type': type}, body});
      if (r.ok) { location.reload(); return; }
      text = await r.text();
    } catch {
      text = 'The program has ended, or the file cannot be read. Start the program again.';
    }
    work('');
    tell(text.trim());
    $('another').focus();
  }

  const drawing = list => {
    if (!list.length) return;
    if (list.length > 1) { tell('One drawing at a time; choose one.'); return; }
    send(`drawing?name=${encodeURIComponent(list[0].name)}`, list[0].name, 'application/octet-stream', list[0]);
  };
  const named = path => send('open', path, 'application/json', JSON.stringify({path}));

  $('file').addEventListener('change', e => { drawing([...e.target.files]); e.target.value = ''; });
  $('another').addEventListener('click', () => $('file').click());
  $('named')?.addEventListener('submit', e => {
    e.preventDefault();
    const path = $('path').value.trim();
    if (path) named(path);
  });
  const over = on => document.body.classList.toggle('over', on);
  addEventListener('dragover', e => { e.preventDefault(); over(true); });
  addEventListener('dragleave', e => { if (!e.relatedTarget) over(false); });
  addEventListener('drop', e => { e.preventDefault(); over(false); drawing([...e.dataTransfer.files]); });

  // That the page listens keeps the program running.
  const events = new EventSource('events');
  events.addEventListener('over', () => { if (!busy) location.reload(); });
  events.addEventListener('end', () => { events.close(); tell('The program has ended. Start it again.'); });

  const first = document.querySelector('.choose').dataset.first;
  if (first && $('trouble').hidden) named(first);
})();
