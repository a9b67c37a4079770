
// The thread in which the program runs. The page sends {id, kind, args}; {id, status,
// value} comes back, and {changed, laid, desk} whenever there is something new on a desk.
let started = null;
globalThis.sluiceReady = () => started();

// unpacked returns the bytes of the program, which stand in the page packed and as text.
async function unpacked(text) {
  const packed = Uint8Array.from(atob(text), c => c.charCodeAt(0));
  return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}

async function start(text, reply) {
  const go = new Go();
  const {instance} = await WebAssembly.instantiate(await unpacked(text), go.importObject);
  started = () => reply(200, sluice.version);
  const ended = () => postMessage({end: true});
  go.run(instance).then(ended, ended);
}

globalThis.onmessage = async e => {
  const {id, kind, args} = e.data, reply = (status, value) => postMessage({id, status, value});
  try {
    if (kind === 'start') await start(args[0], reply);
    else if (kind === 'open') sluice.open(args[0], (changed, laid) => postMessage({changed, laid, desk: args[1]}), reply);
    else if (kind === 'ask') sluice.ask(args[0], args[1], reply);
    else sluice[kind](reply); // files, answers
  } catch (err) {
    if (kind === 'start') reply(500, String(err)); else postMessage({end: true});
  }
};
