// Has the published validator read models in binary glTF: an error, a warning or any
// other remark fails.
//
//   node glb.mjs MODEL.glb [...]
//
// needs gltf-validator.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

const need = createRequire(pathToFileURL(process.env.NODE_MODULES_DIR ? resolve(process.env.NODE_MODULES_DIR, 'x.js') : import.meta.filename));
const validator = need('gltf-validator');
let failed = 0;
for (const path of process.argv.slice(2)) {
  const {issues, info} = await validator.validateBytes(new Uint8Array(readFileSync(path)), {maxIssues: 20});
  for (const m of issues.messages) console.log(`     ${m.pointer || m.offset}: ${m.code}: ${m.message}`);
  const clean = issues.numErrors + issues.numWarnings + issues.numInfos + issues.numHints === 0 && info.totalTriangleCount > 0;
  console.log(`${clean ? 'ok  ' : 'FAIL'} ${path}: ${info.drawCallCount} meshes of ${info.totalTriangleCount} triangles, ${issues.numErrors} errors, ${issues.numWarnings} warnings, ${issues.numInfos + issues.numHints} remarks`);
  if (!clean) failed++;
}
process.exit(failed ? 1 : 0);
