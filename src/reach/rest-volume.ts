/**
 * Rest volume by grey closing, without stairs.
 *
 * Plain closing of node heights errs in the first order of the pitch at walls: a wall and the axes before it
 * are known only to half a pitch, which for a 3 mm ball in a floor-to-wall corner at 0.1 mm is 8.6 % too
 * much. What removes it:
 * - the lattice is turned against the part by atan 0.618..., the slope worst approximated by fractions, so
 *   that walls along the axes meet it at all phases and the errors cancel along them: 8.6 % -> 0.5 to 3 %;
 * - the upper edges of walls act from where they are, and the axes that touch a wall are added between the
 *   nodes (wall-axes.ts), as are those in upright corners (corner-axes.ts: 16 % -> 0.7 %) and in the creases
 *   of the tip heights (crease-axes.ts: 60° slopes 3 % -> 0.1 %, 3° draft 1.5 % -> 0.4 %); those between
 *   walls hardly farther apart than the cutter is wide have tips of their own (fitting-axes.ts: slots 860 %
 *   -> 0 %, drafted grooves -70 % -> 1 %), and round walls are touched where they lie, not where their facets
 *   face (a ball R 3.8 in a bore R 4: -13 % -> -0.3 %);
 * - on steep ground, where nodes stand far apart on the surface, the cutter is stopped by whole facets
 *   (facet-tips.ts), and clears a node from the axis that touches its facet (contact-axes.ts); axes before
 *   walls stand off by the draft on the way down: without that, moulds of 1 to 3° draft came out 20 to 50 %
 *   too low;
 * - what sampling alone leaves on a slope is known (below) and does not count as rest.
 * Together 0 to 0.7 % on the closed forms, 1.3 % on walls hardly wider in plan than a pitch; 3 % on a single
 * upright corner that is 20 nodes wide, whose own area the nodes know no better. Tried and dropped:
 * extrapolating from two pitches (the error is not smooth in the pitch); refining tiles with rest (strips of
 * rest with two radii of margin cover most of a mould).
 */
import type { Context } from '../core/context.js';
import { ODD_TURN_COS, ODD_TURN_SIN } from '../core/odd-turn.js';
import { runningSum } from '../core/sum.js';
import { facetNormals } from '../part/facet-normals.js';
import type { Mesh, Topology } from '../part/types.js';
import { lowerByContactAxes } from './contact-axes.js';
import { cutterKernel, type CutterKernel } from './cutter-kernel.js';
import { offsetProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import { lowerByCornerAxes } from './corner-axes.js';
import { lowerByCreaseAxes } from './crease-axes.js';
import { dilateHeights } from './dilate.js';
import { raiseByFacets } from './facet-tips.js';
import { addFittingAxes } from './fitting-axes.js';
import { erodeTips } from './closing.js';
import { gridTiles, gridWindow, planBounds, type GridTile, type GridWindow } from './grid-window.js';
import { raiseToFacets } from './height-grid.js';
import { rimBlockers } from './rim-queries.js';
import { thickestNode, type RestOverNodes } from './thickest-node.js';
import { lowerByWallAxes, wallAxes } from './wall-axes.js';
import { raiseByRims, rimEdges, wallRims, type RimEdges, type WallRims } from './wall-rims.js';

export interface RestOptions {
  /**
   * Allowance left on the part: the cutter acts as its offset by this, and the allowance itself is not rest.
   * Default 0
   */
  readonly stockMm?: number;
  /** Default: `restPitch` of the part and cutter. */
  readonly pitchMm?: number;
  /** A cutter gets in between walls that are too narrow for it by this on each side. Default 0.0002 */
  readonly slackMm?: number;
  /** Only rest over these places of the plan counts. Default: everywhere on the part */
  readonly within?: (xMm: number, yMm: number) => boolean;
  /** Most nodes held at once; default 2^22 */
  readonly maxNodes?: number;
}

export interface RestVolume {
  /** Volume between the part and what the cutter can clear, mm³. */
  readonly volumeMm3: number;
  /**
   * Greatest distance from a node's surface point to cleared space, mm; up to a pitch too small in sharp
   * corners.
   */
  readonly greatestMm: number;
  /** Where that is; null where nothing is left. */
  readonly whereMm: readonly [number, number, number] | null;
  readonly pitchMm: number;
}

/** Nodes on the part at the default pitch. */
const REST_NODES = 300_000;
const MOST_REST_NODES = 2_400_000;

/**
 * Default pitch, mm: 300,000 nodes on the part's rectangle, at least 16 nodes to the cutter's radius as long
 * as that takes no more than 2.4 million, and at most 48 where that is coarser: what large balls leave is
 * wide (R 5 and R 10 on two models: within 0.3 % of a grid twice as fine, in half the time of 64 nodes).
 */
export function restPitch(mesh: Mesh, profile: CutterProfile): number {
  const { minX, minY, maxX, maxY } = planBounds(mesh);
  const area = (maxX - minX) * (maxY - minY);
  return Math.max(
    Math.min(Math.sqrt(area / REST_NODES), profile.radiusMm / 16),
    Math.sqrt(area / MOST_REST_NODES),
    profile.radiusMm / 48,
  );
}

/**
 * Volume that a cutter leaves on a part, and where it is thickest.
 *
 * Within 1 % of the closed forms of tests/spatial/rest-volume.test.ts at the default pitch, 1.5 % in bores
 * and before walls of less than 1.5° draft.
 *
 * @param topology pairs the edges; open edges are no rims of walls
 * @throws {RangeError} for a mesh without vertices, a pitch that is not positive, a stock below 0
 */
export function restVolume(
  mesh: Mesh,
  topology: Topology,
  profile: CutterProfile,
  options: RestOptions = {},
  context: Context = {},
): RestVolume {
  const grown = offsetProfile(profile, options.stockMm ?? 0);
  const pitchMm = options.pitchMm ?? restPitch(mesh, profile);
  const { mesh: turned, normals, rims: edges } = turnedPart(mesh, topology);
  const kernel = cutterKernel(grown, pitchMm);
  const window = gridWindow(planBounds(turned), pitchMm, (kernel.reach + 2) * pitchMm);
  const rims = wallRims(turned, edges, pitchMm, grown.radiusMm);
  const volume = runningSum();
  let greatestMm = 0;
  let at: readonly number[] = [];
  const tiles = gridTiles(window, 2 * grown.radiusMm + 4 * pitchMm, options.maxNodes);
  tiles.forEach((tile, index) => {
    const { progress } = context;
    const inner = progress
      ? {
          ...context,
          progress: (stage: string, done: number) => progress(stage, (index + done) / tiles.length),
        }
      : context;
    const rest = restOfTile(
      { mesh: turned, normals },
      tile.window,
      grown,
      kernel,
      rims,
      options.slackMm ?? 2e-4,
      inner,
    );
    const thickest = sumTile(tile, rest, options.within, volume, greatestMm);
    if (thickest === null) return;
    greatestMm = thickest.mm;
    at = thickest.at;
  });
  const [x, y, z] = at;
  return {
    volumeMm3: volume.value() * pitchMm * pitchMm,
    greatestMm,
    pitchMm,
    whereMm:
      greatestMm > 0 ? [ODD_TURN_COS * x + ODD_TURN_SIN * y, ODD_TURN_COS * y - ODD_TURN_SIN * x, z] : null,
  };
}

interface TurnedPart extends PartFacets {
  readonly rims: RimEdges;
}

/** One part is asked about for many cutters. */
const turnedParts = new WeakMap<Mesh, TurnedPart>();

function turnedPart(mesh: Mesh, topology: Topology): TurnedPart {
  const known = turnedParts.get(mesh);
  if (known) return known;
  const turned: Mesh = { positions: turn(mesh.positions), triangles: mesh.triangles };
  const { normals } = facetNormals(turned);
  const part = { mesh: turned, normals, rims: rimEdges(turned, topology, normals) };
  turnedParts.set(mesh, part);
  return part;
}

function turn(positions: Float64Array): Float64Array {
  const out = positions.slice();
  for (let k = 0; k < out.length; k += 3) {
    out[k] = ODD_TURN_COS * positions[k] - ODD_TURN_SIN * positions[k + 1];
    out[k + 1] = ODD_TURN_SIN * positions[k] + ODD_TURN_COS * positions[k + 1];
  }
  return out;
}

interface PartFacets {
  readonly mesh: Mesh;
  /** (3 F) unit */
  readonly normals: Float64Array;
}

function restOfTile(
  { mesh, normals }: PartFacets,
  window: GridWindow,
  profile: CutterProfile,
  kernel: CutterKernel,
  rims: WallRims,
  slackMm: number,
  context: Context,
): RestOverNodes {
  const { columns, rows } = window;
  const heights = new Float64Array(columns * rows).fill(-Infinity),
    owners = new Int32Array(columns * rows).fill(-1);
  raiseToFacets(mesh, window, heights, context, owners);
  const tips = dilateHeights(heights, columns, rows, kernel, new Float64Array(columns * rows), context);
  raiseByRims(rims, window, profile, tips);
  raiseByFacets(mesh, normals, window, profile, tips);
  let lowest = Infinity;
  for (let k = 0; k < heights.length; k++)
    if (heights[k] > -Infinity && heights[k] < lowest) lowest = heights[k];
  const rest = new Float64Array(columns * rows);
  const cleared = erodeTips(tips, columns, rows, kernel, lowest, rest, context);
  lowerByContactAxes(normals, owners, window, profile, heights, tips, cleared);
  const axes = wallAxes(rims, window, profile, tips),
    blocking = rimBlockers(rims, profile);
  addFittingAxes(rims, axes, blocking, window, profile, heights, slackMm);
  lowerByWallAxes(rims, axes, window, profile, cleared);
  lowerByCornerAxes(rims, axes, blocking, window, profile, tips, cleared);
  lowerByCreaseAxes(window, profile, heights, tips, cleared);
  rest.fill(0);
  for (let k = columns; k < rest.length - columns; k++) {
    const thickness = cleared[k] - heights[k];
    if (
      thickness > 0 &&
      thickness < Infinity &&
      thickness > samplingRest(heights, k, columns, profile, window.pitchMm)
    ) {
      rest[k] = thickness;
    }
  }
  return { heights, cleared, rest };
}

/**
 * Slopes up to this one, rise over run, are freed of what sampling leaves on them; steeper ones are walls.
 */
const STEEPEST_SLOPE = 4;

/**
 * Thickness, mm along Z, that sampling alone may leave on a smooth slope: the nearest node to the true
 * contact is up to e = p/√2 · √(1 + s²) away on the surface, which lifts the cutter by e²/(2 r) along the
 * normal, so by e²/(2 r) √(1 + s²) along Z, in each of the two passes on average half of that.
 */
function samplingRest(
  heights: Float64Array,
  k: number,
  columns: number,
  profile: CutterProfile,
  pitch: number,
): number {
  const sx = Math.min(Math.abs(heights[k + 1] - heights[k]), Math.abs(heights[k] - heights[k - 1])) / pitch;
  const sy =
    Math.min(Math.abs(heights[k + columns] - heights[k]), Math.abs(heights[k] - heights[k - columns])) /
    pitch;
  const stretch = 1 + Math.min(STEEPEST_SLOPE ** 2, sx * sx + sy * sy);
  const radius = profile.kind === 'flat' ? pitch : profile.cornerRadiusMm;
  return ((pitch * pitch * stretch) / (4 * radius)) * Math.sqrt(stretch);
}

function sumTile(
  tile: GridTile,
  { heights, cleared, rest }: RestOverNodes,
  within: RestOptions['within'],
  volume: ReturnType<typeof runningSum>,
  atLeast: number,
): { readonly mm: number; readonly at: readonly number[] } | null {
  const { window } = tile;
  const nodes: number[] = [];
  for (let j = tile.firstRow; j < tile.firstRow + tile.rows; j++) {
    for (let i = tile.firstColumn; i < tile.firstColumn + tile.columns; i++) {
      const k = j * window.columns + i;
      if (rest[k] === 0) continue;
      const x = window.originXMm + i * window.pitchMm,
        y = window.originYMm + j * window.pitchMm;
      if (within && !within(ODD_TURN_COS * x + ODD_TURN_SIN * y, ODD_TURN_COS * y - ODD_TURN_SIN * x))
        continue;
      volume.add(rest[k]);
      if (rest[k] > atLeast) nodes.push(k);
    }
  }
  const thickest = thickestNode(window, nodes, { heights, cleared, rest }, atLeast);
  if (!thickest) return null;
  const column = thickest.node % window.columns,
    row = Math.floor(thickest.node / window.columns);
  const at = [
    window.originXMm + column * window.pitchMm,
    window.originYMm + row * window.pitchMm,
    heights[thickest.node],
  ];
  return { mm: thickest.mm, at };
}
