import { nodeAt } from './plan-lattice.js';
import { piecesOf } from './slice-times.js';
import { NOTHING_MM, type StockField } from './stock-field.js';

/** Thicknesses beyond this many pitches are told by what lies straight below alone. */
const MOST_PITCHES = 40;

/**
 * How far the top of the stock is off the part: from each node of it to the nearest point of the part, mm. The step that
 * a flat end leaves on a slope so is `ap cos θ` thick at its edge, and a corner with the radius R of a ball in it
 * `R (1 - cos(φ/2))` in its middle, φ being the turn from wall to wall.
 *
 * @param top (nodes) of the stock, mm; -Infinity beside the block
 * @param isAsked of nodes; left out: all
 * @returns (nodes) mm; 0 where there is none
 */
export function leftThickness(
  { lattice, part }: StockField,
  top: Float32Array,
  isAsked: (node: number) => boolean = () => true,
): Float32Array {
  const { columns, rows, pitchMm } = lattice;
  const around = nearestFirst(pitchMm);
  const out = new Float32Array(top.length);
  for (let node = 0; node < top.length; node++) {
    const height = top[node];
    let best = height - part[node];
    if (!(best > NOTHING_MM) || !isAsked(node)) continue;
    const i = node % columns,
      j = (node - i) / columns;
    for (const { dx, dy, mm } of around) {
      if (mm - pitchMm / 2 >= best) break;
      if (i + dx < 0 || j + dy < 0 || i + dx >= columns || j + dy >= rows) continue;
      const below = height - part[node + dy * columns + dx];
      // A wall stands, as a mean, half a pitch before the first node that is on it.
      const apart = below <= 0 ? mm - pitchMm / 2 : Math.sqrt(mm * mm + below * below);
      if (apart < best) best = apart;
    }
    out[node] = best;
  }
  return out;
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

/** @param top (nodes) of the stock, mm @param isAsked of nodes; left out: all */
export function thickest(
  field: StockField,
  top: Float32Array,
  limitMm: number,
  isAsked?: (node: number) => boolean,
): Thickness {
  const { lattice } = field;
  const thickness = leftThickness(field, top, isAsked);
  let worst = -1,
    greatestMm = 0;
  thickness.forEach((mm, node) => {
    if (mm > greatestMm) [greatestMm, worst] = [mm, node];
  });
  const pieces = piecesOf(
    Uint8Array.from(thickness, (mm) => (mm > limitMm ? 1 : 0)),
    lattice,
  );
  return {
    greatestMm,
    whereMm: worst < 0 ? null : [...nodeAt(lattice, worst), top[worst]],
    overAreaMm2: pieces.reduce((sum, { count }) => sum + count, 0) * lattice.pitchMm ** 2,
    places: pieces.length,
  };
}
