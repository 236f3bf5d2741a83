import { CLASSES } from '../core/classes.js';
import type { TracedBorders } from '../outlines/trace-rings.js';
import type { BorderChains } from '../outlines/types.js';
import type { Curve, NamedCurves } from '../write/coloured-glb.js';
import type { NumberedRegions } from '../zones/number-regions.js';

const curveAt = ({ points, start, closed }: BorderChains, c: number): Curve => ({
  points: points.slice(3 * start[c], 3 * start[c + 1]),
  closed: closed[c] === 1,
});

/** All borders that were traced, as curves in space. */
export const curvesOf = (chains: BorderChains): Curve[] =>
  Array.from(chains.closed, (_, c) => curveAt(chains, c));

/** Borders between classes as curves in space, each once, named after the two classes beside it. */
export function borderCurves({ curves }: TracedBorders, { classOf }: NumberedRegions): NamedCurves[] {
  const byName = new Map<string, Curve[]>();
  const classOfRegion = (region: number): number => (region < 0 ? CLASSES.length : classOf[region]);
  for (let c = 0; c < curves.closed.length; c++) {
    const pair = [classOfRegion(curves.left[c]), classOfRegion(curves.right[c])].sort((a, b) => a - b);
    const name = `border ${pair.map((cls) => CLASSES[cls] ?? 'end').join('-')}`;
    const list = byName.get(name);
    if (list) list.push(curveAt(curves, c));
    else byName.set(name, [curveAt(curves, c)]);
  }
  return [...byName].sort(([a], [b]) => (a < b ? -1 : 1)).map(([name, list]) => ({ name, curves: list }));
}
