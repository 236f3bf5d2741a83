/**
 * Time of the grey closing against trying every tap. Run by `npm run bench`; one line for each cutter and
 * grid.
 */
import { closeHeights } from '../support/close-heights.js';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  taperedBallProfile,
} from '../../src/cutter/cutter-profile.js';
import { gridWindow, planBounds } from '../../src/reach/grid-window.js';
import { heightGrid, nodeHeights } from '../../src/reach/height-grid.js';
import { restVolume } from '../../src/reach/rest-volume.js';
import { boxPocket, hemisphere, turned } from '../support/shapes.js';
import { partOf } from '../reach/part.js';
import { naiveClosing } from '../reach/naive-closing.js';

const SIDE_MM = 100;

/** A mould-like ground: crowned floor, drafted pocket walls at an awkward angle, bosses, a rib. */
function ground(x: number, y: number): number {
  const u = 0.94 * (x - 50) + 0.34 * (y - 50),
    v = -0.34 * (x - 50) + 0.94 * (y - 50);
  const wall = Math.max(Math.abs(u) - 36, Math.abs(v) - 30);
  if (wall >= 0) return Math.min(20, wall * 19);
  const boss = 9 - Math.sqrt((u - 12) ** 2 + (v + 8) ** 2);
  const rib = Math.abs(u + 15) < 1.1 ? 8 : 0;
  return Math.max(2 - (u * u + v * v) / 900, rib, Math.min(12, boss * 4));
}

/** Processor time, which other programs on the machine disturb less than the clock. */
const seconds = (work: () => unknown): number => {
  const start = process.cpuUsage().user;
  work();
  return (process.cpuUsage().user - start) / 1e6;
};

const grid = (nodes: number): Float64Array =>
  Float64Array.from({ length: nodes * nodes }, (_, k) =>
    ground(((k % nodes) * SIDE_MM) / nodes, (Math.floor(k / nodes) * SIDE_MM) / nodes),
  );

/** Raster of a fine mesh, and a whole rest volume: a 100 x 100 mm block with a 66 mm pocket. */
function printPart(): void {
  const { mesh, topology } = partOf(turned(hemisphere(50, 1400, 350), 10));
  const window = gridWindow(planBounds(mesh), SIDE_MM / 1000);
  const nodes = seconds(() => nodeHeights(mesh, window, new Float64Array(window.columns * window.rows)));
  const both = seconds(() => heightGrid(mesh, topology, window));
  console.log(
    `raster of ${mesh.triangles.length / 3} triangles on ${window.columns} x ${window.rows} nodes: heights ` +
      `${nodes.toFixed(3)} s, heights and bounds ${both.toFixed(3)} s`,
  );
  const pocket = partOf(turned(boxPocket({ width: 66, length: 66, depth: 20, land: 17 }), 23));
  const rest = (): unknown => restVolume(pocket.mesh, pocket.topology, ballProfile(3));
  rest();
  console.log(`rest volume of a 100 x 100 mm block with a pocket, ball R3: ${seconds(rest).toFixed(3)} s`);
}

printPart();
const cutters = {
  'ball R3': ballProfile(3),
  'flat R3': flatProfile(3),
  'bull-nose R3 RE1': bullNoseProfile(3, 1),
  'tapered R3 RE0.5 3°': taperedBallProfile(3, 0.5, (3 * Math.PI) / 180),
  'ball R6': ballProfile(6),
};
for (const nodes of [500, 1000]) {
  const heights = grid(nodes);
  const pitchMm = SIDE_MM / nodes;
  const window = { originXMm: 0, originYMm: 0, pitchMm, columns: nodes, rows: nodes };
  for (const [name, profile] of Object.entries(cutters)) {
    closeHeights(window, heights, profile);
    const ours = Math.min(...[0, 1, 2].map(() => seconds(() => closeHeights(window, heights, profile))));
    const naive = seconds(() => naiveClosing(heights, nodes, nodes, profile, pitchMm));
    console.log(
      `${nodes} x ${nodes}, ${name}: ${ours.toFixed(3)} s, every tap ${naive.toFixed(2)} s, ` +
        `ratio ${(naive / ours).toFixed(1)}`,
    );
  }
}
