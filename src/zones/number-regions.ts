import { emptyBounds, include } from '../core/bounds.js';
import { mapTo } from '../core/map-to.js';
import { perFace } from '../core/array-types.js';
import { runningSum } from '../core/sum.js';
import type { Surface } from '../part/types.js';
import { connectedRegions } from '../surface/connected-regions.js';
import { AWAY, classOfLabel } from './mark-away.js';

/** Connected patches of one class, numbered in an order that does not depend on the order of facets. */
export type NumberedRegions = Readonly<ReturnType<typeof numberRegions>>;

/** Areas that differ by less, relatively, are equal: rounding must not decide an order. */
const EQUAL_AREA = 1e-6;

/** Numbers the regions of a labelled surface: by class, within it the largest first, equal ones by place. */
export function numberRegions(surface: Surface, labels: Uint8Array, areas: Float64Array) {
  const kept = mapTo(new Int32Array(labels.length), labels, (label) => (label >= AWAY ? -1 : label));
  const { regionOfFace, count } = connectedRegions(surface.topology, kept);
  const { positions, triangles } = surface.mesh;
  const sums = Array.from({ length: count }, () => runningSum());
  const boxes = Array.from({ length: count }, emptyBounds);
  const classOf = new Uint8Array(count);
  for (let f = 0; f < areas.length; f++) {
    const r = regionOfFace[f];
    if (r < 0) continue;
    sums[r].add(areas[f]);
    classOf[r] = classOfLabel(labels[f]);
    for (let k = 0; k < 3; k++) include(boxes[r], positions, 3 * triangles[3 * f + k]);
  }
  const bounds = boxes.map(({ min, max }) => [...min, ...max]);
  const area = Float64Array.from(sums, (sum) => sum.value());
  const order = Array.from({ length: count }, (_, r) => r).sort((a, b) => {
    if (classOf[a] !== classOf[b]) return classOf[a] - classOf[b];
    if (Math.abs(area[a] - area[b]) > EQUAL_AREA * Math.max(area[a], area[b])) return area[b] - area[a];
    for (let i = 0; i < 6; i++) {
      const off = bounds[a][i] - bounds[b][i];
      if (Math.abs(off) > 1e-6) return off;
    }
    return a - b;
  });
  const numberOf = new Int32Array(count);
  order.forEach((r, number) => {
    numberOf[r] = number;
  });
  return {
    /** (F) number of each facet's region; -1 where work is limited to elsewhere */
    regionOfFace: perFace(regionOfFace.map((r) => (r < 0 ? -1 : numberOf[r]))),
    /** (R) index in `CLASSES` */
    classOf: mapTo(new Uint8Array(order.length), order, (r) => classOf[r]),
    /** (R) mm² */
    areas: mapTo(new Float64Array(order.length), order, (r) => area[r]),
    /** (6 R) minimum and maximum x, y, z, mm */
    bounds: Float64Array.from(order.flatMap((r) => bounds[r])),
  };
}
