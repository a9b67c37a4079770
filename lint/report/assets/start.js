
// The page before there is a drawing: it takes one, and what comes along.
class Start {
  constructor() {
    this.files = {};
    this.desk = null;
    this.form = $('shop');
    try {
      this.line = new Held();
    } catch (err) {
      this.unfit(err);
      return;
    }
    this.listen();
    this.line.ready.then(r => { if (r.status === 200) $('starting').textContent = ''; else this.unfit(r.value); }, () => this.unfit('it ended'));
  }

  unfit(why) { this.refuse(`The program in this page cannot be started in this browser (${why}). A browser of 2023 or later does.`); }

  refuse(text) {
    if (this.desk) { this.desk.say(text); return; }
    $('starting').textContent = '';
    $('trouble').textContent = text;
    $('trouble').hidden = !text;
  }

  listen() {
    $('files').addEventListener('change', e => { this.take([...e.target.files]); e.target.value = ''; });
    const over = on => document.body.classList.toggle('over', on);
    addEventListener('dragover', e => { e.preventDefault(); over(true); });
    addEventListener('dragleave', e => { if (!e.relatedTarget) over(false); });
    addEventListener('drop', e => { e.preventDefault(); over(false); this.take([...e.dataTransfer.files]); });
    this.form.addEventListener('submit', e => { e.preventDefault(); if (this.desk) this.open(true); });
    $('another').addEventListener('click', () => location.reload());
    addEventListener('beforeunload', e => { if (this.line.unsaved) e.preventDefault(); });
  }

  // take sorts what was handed over by what it is, and opens the drawing once there is one.
  async take(list) {
    const found = {};
    for (const f of list) {
      const name = f.name.toLowerCase(), ending = name.split('.').pop();
      const kind = ending === 'dxf' ? 'drawing' : name.endsWith('.answers.toml') ? 'answers' : ending === 'toml' ? 'job' : null;
      if (!kind) { this.refuse(ending === 'dwg' ? `${f.name}: is a DWG file, which cannot be read; save it as DXF in the program it was drawn with.` : `${f.name}: is neither a drawing (.dxf) nor a job file or answers (.toml).`); return; }
      if (found[kind]) { this.refuse(`${found[kind].name} and ${f.name}: one drawing at a time, with one job file and one file of answers.`); return; }
      found[kind] = f;
    }
    if (!list.length) return;
    if (this.desk && found.drawing && this.line.unsaved && !confirm('What you decided is not saved. Open the other drawing all the same?')) return;
    try {
      for (const kind in found) this.files[kind] = {name: found[kind].name, data: new Uint8Array(await found[kind].arrayBuffer())};
    } catch {
      this.refuse('The file cannot be read; choose it again.');
      return;
    }
    if (found.drawing && !found.answers) delete this.files.answers; // they are of the drawing before
    this.along();
    if (this.files.drawing) this.open(!found.drawing && !found.answers);
  }

  along() {
    const list = [['job', 'Job file'], ['answers', 'Answers']].filter(([k]) => this.files[k]);
    $('along').hidden = !list.length;
    $('along').replaceChildren(...list.map(([k, what]) => make('li', {}, `${what}: ${this.files[k].name}`)));
  }

  // open has the program set the drawing out; keep: the answers in force stay.
  async open(keep) {
    const settings = [...new FormData(this.form)].map(([k, v]) => [k, v.trim()]).filter(([, v]) => v);
    const {drawing, job, answers} = this.files;
    this.refuse('');
    if (!this.desk) $('starting').textContent = `Reading ${drawing.name} …`;
    let r;
    try {
      r = await this.line.open({drawing, job, answers, settings, keep: keep && !!this.desk});
    } catch {
      this.refuse(this.line.words.lost);
      return;
    }
    if (r.status !== 200) { this.refuse(r.value); return; }
    this.line.unsaved = keep && this.line.unsaved;
    $('name').textContent = drawing.name;
    document.title = `Settle: ${drawing.name}`;
    $('saved').hidden = true;
    if (this.desk) this.desk.anew();
    else {
      document.body.classList.remove('start');
      $('asked').before(make('details', {class: 'shop', open: !settings.length && !job}, make('summary', {}, 'Sheet and jet'), this.form));
      this.form.querySelector('button').hidden = false;
      this.desk = new Desk(this.line);
      $('name').focus({preventScroll: true}); // what had the focus is gone
      scrollTo(0, 0);
    }
    if (r.value) this.desk.say(r.value);
  }
}

new Start();
