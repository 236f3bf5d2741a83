/**
 * Reach of all radii against one plain `closestPointToPoint` of three-mesh-bvh for every vertex and every
 * radius. Run by `npm run bench`; one line for each part.
 *
 * The plain query only tells whether the ball that touches the vertex cuts into the part. The shaft, the way
 * out, the borders between vertices and what a chord stands out of the surface would come on top.
 */
import { readFileSync } from 'node:fs';
import { BufferAttribute, BufferGeometry, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { MACHINABLE_CLASSES } from '../../src/core/classes.js';
import { inlineEngine, type ReachEngine } from '../../src/reach/reach-engine.js';
import { readPart } from '../../src/read/read-part.js';
import { heightBounds } from '../../src/reach/height-bounds.js';
import { analyseReach, type ReachAnalysis } from '../../src/survey/analyse-reach.js';
import { readyPart, zonesOf, type ReadyPart } from '../support/pipeline.js';
import { extrude } from '../support/shapes/sweeps.js';
import { waves } from './made-parts.js';

const RADII_MM = [0.5, 1, 1.5, 2, 3, 4, 5, 6];
const TOLERANCE_MM = 0.02;
/** Plain queries that are timed; the rest is taken to cost as much. */
const TIMED = 4000;

/** Processor time, which other programs on the machine disturb less than the clock. */
const now = (): number => process.cpuUsage().user / 1e6;

/** An engine that adds up the time of each kind of question. */
function timed(engine: ReachEngine, seconds: Map<string, number>): ReachEngine {
  const run: ReachEngine['run'] = async (task, signal, onDone) => {
    const start = now();
    const answer = await engine.run(task, signal, onDone);
    seconds.set(task.kind, (seconds.get(task.kind) ?? 0) + now() - start);
    return answer;
  };
  return { run, close: () => engine.close() };
}

/** Microseconds of one plain query, over vertices and radii spread evenly, and how many there would be. */
function plainQueries(
  { mesh }: ReadyPart,
  { surface, labels }: ReachAnalysis,
): { readonly microseconds: number; readonly count: number } {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(mesh.positions), 3));
  geometry.setIndex(new BufferAttribute(mesh.triangles.slice(), 1));
  const bvh = new MeshBVH(geometry, { verbose: false });
  const cornerOf = new Map<number, number>();
  surface.mesh.triangles.forEach((v, h) => {
    if (labels[(h / 3) | 0] < MACHINABLE_CLASSES) cornerOf.set(v, h);
  });
  const vertices = [...cornerOf.entries()];
  const step = Math.max(1, Math.floor((vertices.length * RADII_MM.length) / TIMED));
  const point = new Vector3(),
    target = { point: new Vector3(), distance: 0, faceIndex: 0 };
  let asked = 0;
  const start = now();
  for (let q = 0; q < vertices.length * RADII_MM.length; q += step, asked++) {
    const [v, h] = vertices[Math.floor(q / RADII_MM.length)],
      radius = RADII_MM[q % RADII_MM.length];
    const [x, y, z] = [0, 1, 2].map(
      (i) => surface.mesh.positions[3 * v + i] + radius * surface.normals[3 * h + i],
    );
    bvh.closestPointToPoint(point.set(x, y, z), target);
  }
  return { microseconds: ((now() - start) * 1e6) / asked, count: vertices.length * RADII_MM.length };
}

async function benchPart(name: string, corners: Float64Array): Promise<void> {
  const part = readyPart(corners);
  const zoned = zonesOf(part);
  const maxima = heightBounds(part.mesh, TOLERANCE_MM);
  const seconds = new Map<string, number>();
  const limits = { toleranceMm: TOLERANCE_MM, slackMm: 0.1 * TOLERANCE_MM };
  const run = (): Promise<ReachAnalysis> =>
    analyseReach(
      {
        zoned,
        part: part.smooth,
        maxima,
        engine: timed(inlineEngine({ ...part, limits }), seconds),
        radiiMm: RADII_MM,
        stockMm: 0,
        toleranceMm: TOLERANCE_MM,
        isForBalls: true,
      },
      {},
    );
  // The second run is timed: by then both sides' code is compiled.
  await run();
  seconds.clear();
  const start = now();
  const reach = await run();
  const of = (kind: string): number => seconds.get(kind) ?? 0;
  const points = now() - start - of('crossings');
  const { settledByGrid, queried } = reach;
  plainQueries(part, reach);
  const plain = plainQueries(part, reach);
  const plainSeconds = (plain.microseconds * plain.count) / 1e6;
  console.log(
    `${name}, ${part.mesh.triangles.length / 3} triangles, ${RADII_MM.length} radii: ` +
      `${settledByGrid} points settled by the grid, ${queried} by queries, ` +
      `${((points * 1e6) / (settledByGrid + queried)).toFixed(1)} µs per point for all radii, splitting of facets included; ` +
      `borders ${of('crossings').toFixed(2)} s`,
  );
  console.log(
    `  plain: ${plain.microseconds.toFixed(1)} µs for each of ${plain.count} vertices and radii, ` +
      `${plainSeconds.toFixed(1)} s against ${points.toFixed(2)} s, ratio ${(plainSeconds / points).toFixed(1)}; ` +
      `with the borders ${(plainSeconds / (points + of('crossings'))).toFixed(1)}`,
  );
}

const model = await readPart(readFileSync('models/soap-dish-cavity.stl'), {
  name: 'soap-dish-cavity.stl',
  unit: 'mm',
});
await benchPart('soap dish cavity', model.corners);
await benchPart('waves', waves(300));
await benchPart(
  'slots of 12 facets a side',
  extrude(
    [
      [0, -20],
      [100, -20],
      [100, 0],
      [72.5, 0],
      [72.5, -8],
      [67.5, -8],
      [67.5, 0],
      [31.5, 0],
      [31.5, -6],
      [28.5, -6],
      [28.5, 0],
      [0, 0],
    ],
    0,
    60,
  ),
);
