import { mapTo } from '../core/map-to.js';
import { digits } from '../core/figures.js';
import { CLASS_INDEX, CLASSES } from '../core/classes.js';
import { finding, type Finding } from '../core/findings.js';
import { runningSum, type RunningSum } from '../core/sum.js';
import { RAD_PER_DEG } from '../core/units.js';
import { placeOf } from '../part/facet-geometry.js';
import { facetNormals } from '../part/facet-normals.js';
import type { SettledSurface } from '../part/settle-noise.js';
import type { Surface } from '../part/types.js';
import { classOfAngle, facetAngle, LEVEL_RAD, VERTICAL_RAD, type ClassBorders } from './classify.js';
import { classOfLabel } from './mark-away.js';

/** A patch that noise can tilt by this much, rad, has no class of its own; the width of the usual overlap. */
const TILT_RAD = 3 * RAD_PER_DEG;

/**
 * (F) area below which a region of such facets alone is a freckle, mm²: the square on whose width noise makes
 * the tilt that tells its class from the next. Level facets of a level place, and the overlap, which is
 * narrow by nature, are held to no more than other regions.
 Without noise all are.
 */
export function leastRegions(
  surface: Surface,
  labels: Uint8Array,
  { normals, withinMm }: SettledSurface,
  minRegionMm2: number,
): Float64Array {
  const levelMm2 = Math.max(minRegionMm2, (withinMm / Math.tan(LEVEL_RAD)) ** 2);
  const otherMm2 = Math.max(minRegionMm2, ((2 * withinMm) / Math.tan(TILT_RAD)) ** 2);
  return mapTo(new Float64Array(labels.length), labels, (label, f) => {
    if (label === CLASS_INDEX.overlap || minRegionMm2 === 0) return minRegionMm2;
    if (label !== CLASS_INDEX.level) return otherMm2;
    const i = 9 * surface.parent[f];
    return normals[i + 2] === 1 && normals[i + 5] === 1 && normals[i + 8] === 1 ? minRegionMm2 : levelMm2;
  });
}

/** Says how large the noise is, and how much area it would have put into other classes, pair by pair. */
export function noiseFindings(
  surface: Surface,
  labels: Uint8Array,
  { rmsMm, normals, rawNormals }: SettledSurface,
  borders: ClassBorders,
): Finding[] {
  if (rmsMm === 0) return [];
  const { areas } = facetNormals(surface.mesh);
  const moves = new Map<number, { readonly area: RunningSum; count: number; readonly face: number }>();
  for (let f = 0; f < areas.length; f++) {
    const from = rawClass(rawNormals, normals, surface.parent[f], borders),
      to = classOfLabel(labels[f]);
    if (from < 0 || from === to || to === CLASS_INDEX.hidden) continue;
    const key = from * CLASSES.length + to;
    const move = moves.get(key) ?? { area: runningSum(), count: 0, face: f };
    move.area.add(areas[f]);
    move.count++;
    moves.set(key, move);
  }
  const pairs = [...moves.entries()].sort((a, b) => a[0] - b[0]);
  return [
    finding(
      'zones.noise',
      'warning',
      `points stray from the true surface by about ${digits(rmsMm, 2)} mm (root mean square): ` +
        'what is level or upright within that counts as such, and patches that it makes are no regions',
    ),
    ...pairs.map(
      ([key, { area, count, face }]): Finding =>
        finding(
          'zones.noise-settled',
          'info',
          `${CLASSES[Math.floor(key / CLASSES.length)]} surface by the tilt of its facets, within the noise ` +
            `${CLASSES[key % CLASSES.length]}: ${digits(area.value(), 4)} mm² moved`,
          count,
          placeOf(surface.mesh.positions, surface.mesh.triangles[3 * face]),
        ),
    ),
  ];
}

/**
 * Class of a facet of the part by its raw normals; -1 if noise was taken out of none of them, or it changes
 * nothing.
 */
function rawClass(raw: Float64Array, steady: Float64Array, f: number, borders: ClassBorders): number {
  let changed = false;
  for (let i = 9 * f; i < 9 * f + 9; i++) if (raw[i] !== steady[i]) changed = true;
  const angle = facetAngle(raw, f),
    flat = facetAngle(steady, f);
  const isUpright = (rad: number): boolean => Math.abs(rad - Math.PI / 2) <= VERTICAL_RAD;
  const isDown = (rad: number): boolean => Math.PI - rad <= VERTICAL_RAD;
  if (!changed || (isUpright(angle) && isUpright(flat)) || (isDown(angle) && isDown(flat))) return -1;
  return classOfAngle(angle, borders);
}
