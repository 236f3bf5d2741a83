import type { Unit } from './core/units.js';

/** ISO 513 letters of work material: steel, stainless, cast iron, non-ferrous, heat-resistant, hardened. */
export const MATERIALS = ['P', 'M', 'K', 'N', 'S', 'H'] as const;
export type Material = (typeof MATERIALS)[number];

/** Axis words, and the direction in the file's coordinates that each turns into +Z. */
export const AXIS_VECTORS = {
  '+z': [0, 0, 1], '-z': [0, 0, -1], '+x': [1, 0, 0], '-x': [-1, 0, 0], '+y': [0, 1, 0], '-y': [0, -1, 0],
} as const satisfies Record<string, readonly [number, number, number]>;
export type AxisWord = keyof typeof AXIS_VECTORS;
export type Vector = readonly [number, number, number];
/** Closed rings in plan, mm; the first point is not repeated. Even-odd: a ring inside a ring is a hole. */
export type PlanRings = readonly (readonly (readonly [number, number])[])[];

/** Defaults of every option that is one number, word or switch. Apart from the schemas, so that help loads fast. */
export const OPTION_DEFAULTS = {
  /** null: what the format declares, else mm */
  unit: null as Unit | null,
  axis: [0, 0, 1] as Vector,
  /** put the part's lowest point on Z = 0 */
  stand: true as boolean,
  /** border between shallow and overlap; at 45 equal steps give equal scallops */
  splitDeg: 45 as number | 'auto',
  /** common practice, no source */
  overlapDeg: 3,
  toleranceMm: 0.02,
  material: 'P' as Material,
  scallopMm: 0.005,
  /** null: from the scallop height */
  stepoverMm: null as number | null,
  stepdownMm: null as number | null,
  stockMm: 0,
  /** null: the whole part */
  within: null as PlanRings | null,
  includeOutside: false as boolean,
  minRegionMm2: 0.25,
  creaseDeg: 35,
  /** share of the machinable area that the first cutter of the ladder must reach */
  firstCutterShare: 0.9,
} as const;
