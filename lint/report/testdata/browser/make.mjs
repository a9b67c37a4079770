// Writes large drawings for the browser tests into a folder: many.dxf has 300
// parts and more than 2,000 flaws, pieces.dxf 100,000 pieces of outline.
//
//   node make.mjs FOLDER
import {writeFileSync} from 'node:fs';
import {join} from 'node:path';

const ring = points => ['0', 'LWPOLYLINE', '8', '0', '90', points.length, '70', 1, ...points.flatMap(([x, y]) => ['10', x.toFixed(4), '20', y.toFixed(4)])];
const rect = (x, y, w, h) => ring([[x, y], [x + w, y], [x + w, y + h], [x, y + h]]);
const drawing = entities => ['0', 'SECTION', '2', 'HEADER', '9', '$INSUNITS', '70', 4, '0', 'ENDSEC', '0', 'SECTION', '2', 'ENTITIES', ...entities.flat(), '0', 'ENDSEC', '0', 'EOF', ''].join('\n');

const folder = process.argv[2];
const many = [];
for (let i = 0; i < 300; i++) {
  const x = 70 * (i % 20), y = 70 * Math.floor(i / 20);
  many.push(rect(x, y, 60 + i % 7, 60));
  for (let k = 0; k < 7; k++) many.push(rect(x + 5 + 7 * k, y + 10, .6, 12 + k));
}
writeFileSync(join(folder, 'many.dxf'), drawing(many));

const pieces = [];
for (let i = 0; i < 500; i++) {
  const x = 600 * (i % 25), y = 600 * Math.floor(i / 25), points = [];
  for (let k = 0; k < 200; k++) {
    const a = Math.PI * k / 100, r = k % 2 ? 260 : 240;
    points.push([x + r * Math.cos(a), y + r * Math.sin(a)]);
  }
  pieces.push(ring(points));
}
writeFileSync(join(folder, 'pieces.dxf'), drawing(pieces));
