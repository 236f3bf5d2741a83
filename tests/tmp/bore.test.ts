import { test } from 'vitest';
import * as shapes from '/work/main/tests/support/shapes.js';
import { readyPart } from '/work/main/tests/support/pipeline.js';
import { ballQuery } from '/work/main/src/reach/ball-contact.js';
import { ballReach } from '/work/main/src/reach/ball-reach.js';
test('bores', () => {
  for (const segments of [24, 48, 256]) {
    const R = 4;
    const corners = shapes.turned(shapes.pocketPlate({ tileX: 26, tileY: 26, bottomZ: -12, tiles: [[{ facets: segments / 4, through: true, at: [0,0], turnDeg: 0, rings: [0, -12].map((z) => ({ halfX: R, halfY: R, radius: R, z })) }]] }), 8.3);
    const part = readyPart(corners);
    const reach = ballReach(ballQuery(part.tree), { toleranceMm: 0.02, slackMm: 0.002 });
    const hist = new Map();
    for (let i = 0; i < 4000; i++) {
      const a = i * 2.399963, z = -12 * ((i * 0.618) % 1);
      const r = reach.radius(R * Math.cos(a), R * Math.sin(a), z, -Math.cos(a), -Math.sin(a), 0, 4.4);
      const k = r.toFixed(3); hist.set(k, (hist.get(k) ?? 0) + 1);
    }
    console.log(segments, [...hist].sort((x, y) => Number(x[0]) - Number(y[0])).map((x) => x.join(':')).join(' '));
  }
});
