import { expect, test } from 'vitest';
import { unpackView } from '../../src/page/viewer/unpack-view.js';
import { resolveSetup } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import type { SceneFacts } from '../../src/write/scene-facts.js';
import { throughSlot } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const RADII = [1, 2, 4],
  TOLERANCE = 0.02,
  WIDTH = 20,
  DEPTH = 8;

/** What comes between two tags of the report. */
const between = (html: string, from: string): string => {
  const at = html.indexOf(from) + from.length;
  return html.slice(at, html.indexOf('</script>', at));
};

test('bands of reach in the view follow the reach radius between the radii, on a floor beside a wall', async () => {
  const setup = resolveSetup(undefined, {
    unit: 'mm',
    radiiMm: RADII,
    toleranceMm: TOLERANCE,
    partDate: '2026-01-02',
    floors: 'ball',
    walls: 'ball',
    cutters: {
      version: 1,
      cutters: RADII.map((RE) => ({
        id: `B${RE}`,
        DC: 2 * RE,
        RE,
        APMX: 10,
        LU: 30,
        DN: 2 * RE,
        NOF: 2,
        holder: [],
      })),
    },
  });
  const { files } = await surveyPart(binaryStl(throughSlot(WIDTH, DEPTH, 30)), 'slot.stl', setup, {});
  const html = String(files.get('report.html'));
  const facts: SceneFacts = JSON.parse(between(html, 'id="scene-facts">'));
  const view = await unpackView(between(html, 'id="packed-view">'), facts.mesh);
  const { min, max } = facts.boundsMm,
    floorZ = max[2] - DEPTH;
  // A ball of radius R touches floor and wall, and misses the floor at distance d from the wall by
  // sqrt((R - d)² + R²) - R: no more than the tolerance t down to d = R - sqrt(2 R t + t²) (Pythagoras).
  const nearest = (radius: number): number => radius - Math.sqrt(2 * radius * TOLERANCE + TOLERANCE ** 2);
  const radiusAt = (d: number): number => {
    let [low, high] = [d, d + 3];
    for (let i = 0; i < 40; i++) {
      const middle = (low + high) / 2;
      if (nearest(middle) < d) low = middle;
      else high = middle;
    }
    return low;
  };
  let looked = 0;
  view.counts.forEach((count, v) => {
    const [x, y, z] = view.positions.subarray(3 * v, 3 * v + 3);
    const d = WIDTH / 2 - Math.abs(x - (min[0] + max[0]) / 2);
    if (view.normals[3 * v + 2] < 0.999 || Math.abs(z - floorZ) > 0.01 || count === 255) return;
    if (d < 0.1 || d > nearest(4) - 0.05 || Math.abs(y - (min[1] + max[1]) / 2) > 8) return;
    looked++;
    const radius = radiusAt(d),
      whole = RADII.filter((one) => one <= radius).length;
    const from = whole === 0 ? 0 : RADII[whole - 1];
    const expected = whole + (radius - from) / (RADII[whole] - from);
    expect(Math.abs(count - expected), `${d} mm from the wall`).toBeLessThan(0.04);
  });
  expect(looked).toBeGreaterThan(20);
});
