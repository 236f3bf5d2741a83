import type { Machine } from '../time/machine.js';
import { regionTime, totalPassTime, type PassTime } from '../time/pass-time.js';
import type { ClearedStock } from './clear-stock.js';
import type { PlanLattice } from './plan-lattice.js';
import { neighbours, NOTHING_MM, type StockField } from './stock-field.js';

/** What a rougher takes away between two of its levels. */
export interface Slice {
  /** height of its tip, mm */
  readonly zMm: number;
  readonly volumeMm3: number;
  /** in plan */
  readonly areaMm2: number;
}

export interface SliceWork {
  /** those in which it takes anything */
  readonly slices: readonly Slice[];
  readonly time: PassTime;
}

/** How a rougher moves. */
export interface RoughingMove {
  readonly DC: number;
  /** sideways step, mm */
  readonly stepoverMm: number;
  readonly feedMmPerMin: number;
  readonly machine: Machine;
}

/** Pieces smaller than a square with this share of DC as its side are taken along by their neighbours. */
const CRUMB_SHARE = 0.1;

/**
 * Volume and time of each slice. In every piece of a slice that hangs together the cutter goes round in loops one
 * stepover apart: as long as area over stepover, but never shorter than along the middle of a narrow strip, half its
 * border. Border lengths by counts of lattice sides, `π/4` of them as a mean over directions (Cauchy's formula, from
 * memory). Each loop starts and stops, loops are joined by links, each piece has an approach: the model of `regionTime`.
 * Ramps down into the material are not counted.
 */
export function sliceWork(
  field: StockField,
  before: Float32Array,
  { after, levels, topMm }: Pick<ClearedStock, 'after' | 'levels' | 'topMm'>,
  move: RoughingMove,
): SliceWork {
  const { pitchMm } = field.lattice;
  const cell = pitchMm * pitchMm;
  const times: PassTime[] = [];
  const mask = new Uint8Array(after.length);
  const taken = before.reduce<number[]>((nodes, top, node) => {
    if (top > after[node]) nodes.push(node);
    return nodes;
  }, []);
  const slices = levels.map((zMm, k): Slice => {
    const upper = k === 0 ? topMm : levels[k - 1];
    let height = 0,
      nodes = 0;
    for (const node of taken) {
      const cut = Math.min(before[node], upper) - Math.max(after[node], zMm);
      mask[node] = cut > NOTHING_MM ? 1 : 0;
      if (cut > 0) height += cut;
      nodes += mask[node];
    }
    for (const { count, sides } of piecesOf(mask, field.lattice)) {
      const areaMm2 = count * cell,
        alongMm = (sides * pitchMm * Math.PI) / 8;
      if (areaMm2 < (CRUMB_SHARE * move.DC) ** 2) continue;
      const pathLengthMm = Math.max(areaMm2 / move.stepoverMm, alongMm);
      const loops = pathLengthMm / alongMm;
      times.push(
        regionTime(
          {
            spacingMm: move.stepoverMm,
            feedMmPerMin: move.feedMmPerMin,
            machine: move.machine,
          },
          { areaMm2, pathLengthMm, passes: loops, pieces: loops },
          pathLengthMm / move.feedMmPerMin,
        ),
      );
    }
    return { zMm, volumeMm3: height * cell, areaMm2: nodes * cell };
  });
  return { slices: slices.filter(({ volumeMm3 }) => volumeMm3 > 0), time: totalPassTime(times) };
}

export interface Piece {
  readonly count: number;
  /** sides of its nodes on its border */
  readonly sides: number;
}

/**
 * Pieces of a mask that hang together along sides of nodes.
 *
 * @param mask (nodes) 1 inside; emptied
 */
export function piecesOf(mask: Uint8Array, lattice: PlanLattice): Piece[] {
  const stack = new Int32Array(mask.length);
  const pieces: Piece[] = [],
    around = neighbours(lattice);
  for (let seed = 0; seed < mask.length; seed++) {
    if (mask[seed] !== 1) continue;
    let top = 0,
      count = 0,
      sides = 0;
    stack[top++] = seed;
    mask[seed] = 2;
    while (top > 0) {
      const node = stack[--top];
      count++;
      for (const step of around) {
        const next = node + step;
        if (mask[next] === 1) {
          mask[next] = 2;
          stack[top++] = next;
        } else if (mask[next] !== 2) sides++;
      }
    }
    pieces.push({ count, sides });
  }
  return pieces;
}
