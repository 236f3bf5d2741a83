import { boundsOf, type Bounds } from '../core/bounds.js';
import { PartError } from '../core/errors.js';
import { significant } from '../core/figures.js';
import { runningSum } from '../core/sum.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { Mesh } from '../part/types.js';
import { blockBounds, blockTops, checkHolds, type Block } from './block.js';
import {
  nodeAt,
  planLattice,
  toLattice,
  topHeights,
  turnedBounds,
  turnedPositions,
  type PlanLattice,
} from './plan-lattice.js';

/** A part and its block as heights over one lattice. */
export interface StockField {
  readonly lattice: PlanLattice;
  /** (nodes) what shall stand in the end, mm: the part's top, `floorMm` where it has none */
  readonly part: Float32Array;
  /** (nodes) 1 where the part has a surface, or may not be cut */
  readonly isPart: Uint8Array;
  /** (nodes) top of the block, mm; -Infinity beside it */
  readonly block: Float32Array;
  /** lowest level of the part: nothing is cut below it */
  readonly floorMm: number;
}

/** Less than this over a place is nothing to cut, mm: heights are kept in single precision. */
export const NOTHING_MM = 0.01;

/** Nodes of a block's lattice: a pocket half as wide as a square block is 126 pitches wide. */
export const NODES = 64_000;
/** A square as wide as the margin has no more nodes than this share of those: air round a small part is not the work. */
const MARGIN_SHARE = 1 / 16;

export interface FieldInput {
  readonly mesh: Mesh;
  readonly block: Block;
  /** nodes over the block; `NODES` if left out */
  readonly nodes?: number;
  /** air kept round the block, for cutters that come from beside it: the radius of the widest, stock included */
  readonly marginMm: number;
  /** whether a place in plan is to be cut; null: all are */
  readonly isWork: ((x: number, y: number) => boolean) | null;
  /** holes that roughing leaves to the drill */
  readonly plugs?: readonly Plug[];
  /** name of the block, for messages */
  readonly where: string;
}

/** A round upright hole that counts as full up to its mouth. */
export interface Plug {
  readonly topMm: readonly [number, number, number];
  readonly radiusMm: number;
}

/** @throws {PartError} `block.small` if the part stands out of its block */
export function stockField({
  mesh,
  block,
  nodes = NODES,
  marginMm,
  isWork,
  plugs = [],
  where,
}: FieldInput): StockField {
  const bounds = boundsOf(mesh.positions);
  checkHolds(block, bounds, where);
  const lattice = latticeFor(blockBounds(block), nodes, marginMm);
  const tops = topHeights({ ...mesh, positions: turnedPositions(mesh.positions) }, lattice);
  const own = blockTops(block, lattice);
  checkCovers(own, tops, lattice, where);
  for (const plug of plugs) fillHole(tops, lattice, plug);
  const floorMm = bounds.min[2];
  const isPart = new Uint8Array(tops.length);
  tops.forEach((top, node) => {
    const isLeft = own[node] > -Infinity && isWork !== null && !isWork(...nodeAt(lattice, node));
    isPart[node] = top > -Infinity || isLeft ? 1 : 0;
    tops[node] = Math.max(isLeft ? own[node] : top, floorMm);
  });
  return { lattice, part: tops, isPart, block: own, floorMm };
}

/** Ground counts as level within this, as `level` of the classes does. */
const LEVEL_TANGENT = Math.tan(0.5 * RAD_PER_DEG);

/** Whether the part lies as high at a node as at its four neighbours. */
export function isLevelAt({ part, lattice }: Pick<StockField, 'part' | 'lattice'>, node: number): boolean {
  const most = LEVEL_TANGENT * lattice.pitchMm;
  return neighbours(lattice).every((step) => Math.abs(part[node + step] - part[node]) <= most);
}

/** Steps to the nodes beside one; the margin round a block keeps them on the lattice. */
export const neighbours = ({ columns }: PlanLattice): readonly number[] => [1, -1, columns, -columns];

function fillHole(tops: Float32Array, lattice: PlanLattice, { topMm: [x, y, z], radiusMm }: Plug): void {
  const { u0, v0, pitchMm, columns } = lattice;
  const [u, v] = toLattice(x, y).map((mm, k) => (mm - [u0, v0][k]) / pitchMm);
  const reach = radiusMm / pitchMm;
  for (let j = Math.ceil(v - reach); j <= v + reach; j++)
    for (let i = Math.ceil(u - reach); i <= u + reach; i++)
      if ((i - u) ** 2 + (j - v) ** 2 <= reach * reach)
        tops[j * columns + i] = Math.max(tops[j * columns + i], z);
}

function latticeFor(bounds: Bounds, nodes: number, marginMm: number): PlanLattice {
  const [x, y] = [0, 1].map((k) => bounds.max[k] - bounds.min[k]);
  const pitchMm = Math.max(
    Math.sqrt((x * y) / nodes),
    Math.max(x, y) / nodes,
    marginMm / Math.sqrt(MARGIN_SHARE * nodes),
    1e-6,
  );
  return planLattice(turnedBounds(bounds), pitchMm, marginMm + 2 * pitchMm);
}

/** Shapes of a part and a block meant to be flush differ by their chords: so much may stand out, and on that share. */
const CHORD_MM = 0.05,
  CHORD_SHARE = 1e-3;

function checkCovers(block: Float32Array, part: Float32Array, lattice: PlanLattice, where: string): void {
  const around = neighbours(lattice);
  let count = 0,
    of = 0,
    worst = -1,
    most = 0;
  part.forEach((top, node) => {
    if (top === -Infinity) return;
    of++;
    // Flush sides are known to a pitch.
    const out = top - Math.max(block[node], ...around.map((step) => block[node + step]));
    if (out <= CHORD_MM) return;
    count++;
    if (out > most) [most, worst] = [out, node];
  });
  if (count <= CHORD_SHARE * of) return;
  const at = nodeAt(lattice, worst).map((mm) => significant(mm, 4));
  const how = most === Infinity ? 'beside it' : `${significant(most, 3)} mm out of it`;
  throw new PartError({
    code: 'block.small',
    where,
    what: `the part stands ${how} at ${at.join(', ')} in plan`,
    remedy: 'give a larger block, or place both in the same coordinates',
  });
}

/** Volume between two heights over the block, mm³. @param from, to (nodes) mm; where `to` is higher nothing counts */
export function volumeBetween(
  { lattice: { pitchMm }, block }: StockField,
  from: Float32Array,
  to: Float32Array,
): number {
  const sum = runningSum();
  for (let node = 0; node < block.length; node++)
    if (block[node] > -Infinity && from[node] > to[node]) sum.add(from[node] - to[node]);
  return sum.value() * pitchMm * pitchMm;
}

/**
 * True area of a height surface over some nodes, mm²: `∫ √(1 + |∇h|²)`. A rise counts at its foot, once, whether or not
 * its top is among them; upright walls come out up to 8 % too large, by how they lie to the lattice.
 *
 * @param heights (nodes) mm; -Infinity where there is none
 */
export function areaOver(
  { lattice }: Pick<StockField, 'lattice'>,
  heights: Float32Array,
  isIn: (node: number) => boolean,
): number {
  const { pitchMm } = lattice,
    around = neighbours(lattice);
  const sum = runningSum();
  for (let node = 0; node < heights.length; node++) {
    if (!isIn(node)) continue;
    const square = around.reduce(
      (all, step) => all + (Math.max(0, heights[node + step] - heights[node]) / pitchMm) ** 2,
      1,
    );
    sum.add(Math.sqrt(square));
  }
  return sum.value() * pitchMm * pitchMm;
}
