import { expect, test } from 'vitest';
import { boundsOf } from '../../src/core/bounds.js';
import { ballProfile, bullNoseProfile, type CutterProfile } from '../../src/cutter/cutter-profile.js';
import { boxAbout } from '../../src/stages/block.js';
import { clearStock } from '../../src/stages/clear-stock.js';
import { standingHeights, type Touched } from '../../src/stages/standing-heights.js';
import { stockField, volumeBetween } from '../../src/stages/stock-field.js';
import { readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const [RADIUS, DEPTH, SEGMENTS] = [22, 14, 100];
const STOCK = 0.1;

/** Upright pieces of the wall of a bore, one in the middle of every `every`th segment, `share` of it wide. */
function wallPieces(share: number, every = 1): Touched {
  const corners: number[] = [],
    normals: number[] = [];
  for (let i = 0; i < SEGMENTS; i += every) {
    const [from, to] = [(1 - share) / 2, (1 + share) / 2].map(
      (along) => (2 * Math.PI * (i + along)) / SEGMENTS,
    );
    for (const [angle, z] of [
      [from, 0],
      [from, -DEPTH],
      [to, -DEPTH],
      [from, 0],
      [to, -DEPTH],
      [to, 0],
    ]) {
      corners.push(RADIUS * Math.cos(angle), RADIUS * Math.sin(angle), z);
      normals.push(-Math.cos(angle), -Math.sin(angle), 0);
    }
  }
  return { corners: Float64Array.from(corners), normals: Float64Array.from(normals) };
}

// Both balls reach all of a bore wider than they are, so that the smaller has nothing to take after the larger. It stands on
// 1.5 % of the wall; on all of it the lattice would make up to a pitch of nothing.
test.each([0.5, 1, 3])('a ball of R %d on slivers of a bore takes next to nothing of its wall', (r) => {
  const rings = [0, -DEPTH].map((z) => ({ halfX: RADIUS, halfY: RADIUS, radius: RADIUS, z }));
  const bore = { facets: SEGMENTS / 4, through: true, rings };
  const { mesh } = readyPart(shapes.pocketPlate({ tileX: 60, tileY: 60, bottomZ: -DEPTH, tiles: [[bore]] }));
  const field = stockField({
    mesh,
    block: boxAbout(boundsOf(mesh.positions), { topMm: 0, sideMm: 0 }),
    nodes: 60_000,
    marginMm: 7,
    isWork: null,
    where: 'block',
  });
  const takes = (stock: Float32Array, profile: CutterProfile, touched: Touched): Float32Array =>
    clearStock(field, stock, profile, STOCK, null, standingHeights(touched, profile, STOCK, field.lattice))
      .after;
  const roughed = clearStock(field, field.block, bullNoseProfile(4, 1), 0.6, 1.2).after;
  const before = takes(roughed, ballProfile(6), wallPieces(1));
  expect(volumeBetween(field, roughed, before)).toBeGreaterThan(500);
  const taken = volumeBetween(field, before, takes(before, ballProfile(r), wallPieces(0.03, 2)));
  const wallMm2 = 2 * Math.PI * RADIUS * DEPTH;
  expect(taken / wallMm2).toBeLessThan(field.lattice.pitchMm / 8);
});
