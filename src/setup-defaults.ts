import type { Material } from './core/materials.js';
import type { Unit } from './core/units.js';

/** How the finishing cutters are chosen. */
export const LADDER_RULES = ['fastest', 'largest-first'] as const;
export type LadderRule = (typeof LADDER_RULES)[number];
/** Share of the machinable area that the first cutter must reach where the set-up says nothing. */
export const FIRST_SHARE: Readonly<Record<LadderRule, number>> = { fastest: 0.5, 'largest-first': 0.9 };

/** Axis words, and the direction in the file's coordinates that each turns into +Z. */
export const AXIS_VECTORS = {
  '+z': [0, 0, 1],
  '-z': [0, 0, -1],
  '+x': [1, 0, 0],
  '-x': [-1, 0, 0],
  '+y': [0, 1, 0],
  '-y': [0, -1, 0],
} as const satisfies Record<string, readonly [number, number, number]>;
export type AxisWord = keyof typeof AXIS_VECTORS;
export type Vector = readonly [number, number, number];
/** Closed rings in plan, mm; the first point is not repeated. Even-odd: a ring inside a ring is a hole. */
export type PlanRings = readonly (readonly (readonly [number, number])[])[];

/**
 * Defaults of every option that is one number, word or switch. Apart from the schemas, so that help loads
 * fast.
 */
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
  /** null: the overlap is an angle */
  overlapMm: null as number | null,
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
  /** 0: necks stay as they are */
  neckStepovers: 0,
  /** beyond its region, until the whole cutter has left it; common practice, no source */
  runOutMm: 0.5,
  /** the cutter before counts as larger by this share of its radius, so that rest passes run out onto clean surface;
   * common practice is 0.02 to 0.05, no source */
  blendShare: 0.03,
  /** what the mesh's points stray by, root mean square; auto: measured; 0: take each facet at its word */
  noiseMm: 'auto' as number | 'auto',
  patches: false as boolean,
  /** day of the part's file, for the title block of the drawings; null: not known */
  partDate: null as string | null,
  creaseDeg: 35,
  ladderRule: 'fastest' as LadderRule,
  /**
   * share of the machinable area that the first cutter of the ladder must reach; null: what suits the rule
   */
  firstCutterShare: null as number | null,
  rasterDirectionDeg: 'auto' as number | 'auto',
  holderClearanceMm: 0.5,
  preview: false as boolean,
} as const;
