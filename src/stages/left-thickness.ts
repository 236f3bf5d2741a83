import { runningSum } from '../core/sum.js';
import { nodeAt, type PlanLattice } from './plan-lattice.js';
import { piecesOf } from './slice-times.js';
import { NOTHING_MM, type StockField } from './stock-field.js';

/** Thicknesses beyond this many pitches are told by what lies straight below alone. */
const MOST_PITCHES = 40;

/** The thickest place, and what lies above a limit. */
export interface Thickness {
  readonly greatestMm: number;
  /** on top of the stock; null: nothing is left */
  readonly whereMm: readonly [number, number, number] | null;
  /** in plan, thicker than the limit */
  readonly overAreaMm2: number;
  /** connected places thicker than the limit */
  readonly places: number;
}

/**
 * How far the top of the stock is off the part: from each node of it to the nearest point of the part. The step that a
 * flat end leaves on a slope so is `ap cos θ` thick at its edge, and a corner with the radius R of a ball in it
 * `R (1 - cos(φ/2))` in its middle, φ being the turn from wall to wall.
 *
 * A distance changes by no more than one moves: nodes that so are known to be thicker than the limit, or not, and not
 * the thickest, are not measured. Some far apart are first, so that the thickest is nearly known.
 *
 * @param top (nodes) of the stock, mm; -Infinity beside the block
 * @param isAsked of nodes; left out: all
 */
export const thickest = (
  field: StockField,
  top: Float32Array,
  limitMm: number,
  isAsked: (node: number) => boolean = () => true,
): Thickness => toldOf(field.lattice, top, found(field, top, limitMm, isAsked));

/** (nodes) 1 where it is thicker than the limit. */
export const thickerThan = (
  field: StockField,
  top: Float32Array,
  limitMm: number,
  isAsked: (node: number) => boolean,
): Uint8Array => found(field, top, limitMm, isAsked).isOver;

function found(
  field: StockField,
  top: Float32Array,
  limitMm: number,
  isAsked: (node: number) => boolean,
): Found {
  const { lattice, part } = field,
    { columns, pitchMm } = lattice,
    farMm = MOST_PITCHES * pitchMm;
  const thicknessAt = thicknessOf(field, top);
  const isOver = new Uint8Array(top.length);
  let worst = -1,
    greatestMm = 0;
  for (const stride of [SPARSE, 1]) {
    let at = -1,
      known = 0;
    for (let node = 0; node < top.length; node += stride) {
      if (!(top[node] - part[node] > NOTHING_MM) || !isAsked(node)) continue;
      const along = at < 0 || Math.floor(at / columns) < Math.floor(node / columns) ? Infinity : node - at,
        step = pitchMm * along,
        rise = top[node] - top[at],
        // Half a pitch is what walls are off their nodes.
        moved = Math.sqrt(step * step + rise * rise) + pitchMm / 2;
      if (
        known + moved <= greatestMm &&
        (Math.min(known, farMm) - moved > limitMm || known + moved <= limitMm)
      ) {
        isOver[node] = known > limitMm ? 1 : 0;
        continue;
      }
      [at, known] = [node, thicknessAt(node)];
      isOver[node] = known > limitMm ? 1 : 0;
      if (known > greatestMm) [greatestMm, worst] = [known, node];
    }
  }
  return { greatestMm, worst, isOver };
}

interface Found {
  readonly greatestMm: number;
  /** node of the thickest; -1: none */
  readonly worst: number;
  /** (nodes) 1 above the limit; emptied */
  readonly isOver: Uint8Array;
}

function toldOf(lattice: PlanLattice, top: Float32Array, { greatestMm, worst, isOver }: Found): Thickness {
  const pieces = piecesOf(isOver, lattice);
  return {
    greatestMm,
    whereMm: worst < 0 ? null : [...nodeAt(lattice, worst), top[worst]],
    overAreaMm2: pieces.reduce((sum, { count }) => sum + count, 0) * lattice.pitchMm ** 2,
    places: pieces.length,
  };
}

/** What lies over a floor, and what stands beside a wall, each with its volume in mm³. */
export type ThicknessBySide = Readonly<
  Record<'floors' | 'walls', Thickness & { readonly volumeMm3: number }>
>;

/** The same of stock on floors and walls apart: beside a wall its nearest point of the part lies sideways. */
export function thickestBySide(
  field: StockField,
  top: Float32Array,
  limitMm: number,
  isAsked: (node: number) => boolean,
): ThicknessBySide {
  const { lattice, part } = field;
  const thicknessAt = thicknessOf(field, top);
  const sides = { floors: newSide(top.length), walls: newSide(top.length) };
  for (let node = 0; node < top.length; node++) {
    const over = top[node] - part[node];
    if (!(over > NOTHING_MM) || !isAsked(node)) continue;
    const thick = thicknessAt(node),
      side = thick < over ? sides.walls : sides.floors;
    side.heights.add(over);
    if (thick > limitMm) side.isOver[node] = 1;
    if (thick > side.greatestMm) [side.greatestMm, side.worst] = [thick, node];
  }
  const told = (side: (typeof sides)['walls']) => ({
    ...toldOf(lattice, top, side),
    volumeMm3: side.heights.value() * lattice.pitchMm ** 2,
  });
  return { floors: told(sides.floors), walls: told(sides.walls) };
}

const newSide = (nodes: number) => ({
  greatestMm: 0,
  worst: -1,
  isOver: new Uint8Array(nodes),
  heights: runningSum(),
});

/** Every so manieth node is measured first. */
const SPARSE = 13;

/** Distance from the top of the stock over a node to the part, mm. */
function thicknessOf({ lattice, part }: StockField, top: Float32Array): (node: number) => number {
  const { columns, rows, pitchMm } = lattice;
  const around = nearestFirst(pitchMm);
  return (node) => {
    const height = top[node],
      i = node % columns,
      j = (node - i) / columns;
    let best = height - part[node];
    for (const { dx, dy, mm } of around) {
      if (mm - pitchMm / 2 >= best) break;
      if (i + dx < 0 || j + dy < 0 || i + dx >= columns || j + dy >= rows) continue;
      const below = height - part[node + dy * columns + dx];
      // A wall stands, as a mean, half a pitch before the first node that is on it.
      const apart = below <= 0 ? mm - pitchMm / 2 : Math.sqrt(mm * mm + below * below);
      if (apart < best) best = apart;
    }
    return best;
  };
}

function nearestFirst(pitchMm: number) {
  const offsets: { readonly dx: number; readonly dy: number; readonly mm: number }[] = [];
  for (let dy = -MOST_PITCHES; dy <= MOST_PITCHES; dy++) {
    for (let dx = -MOST_PITCHES; dx <= MOST_PITCHES; dx++) {
      const mm = pitchMm * Math.sqrt(dx * dx + dy * dy);
      if (mm > 0 && mm <= MOST_PITCHES * pitchMm) offsets.push({ dx, dy, mm });
    }
  }
  return offsets.sort((a, b) => a.mm - b.mm);
}
