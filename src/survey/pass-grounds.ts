import { firstEqualRows } from '../core/distinct-rows.js';
import { addToList } from '../core/lists.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Surface } from '../part/types.js';
import type { Setup } from '../resolve-setup.js';
import { connectedRegions } from '../surface/connected-regions.js';
import { passMask, type FinishingSurface, type Strategy } from '../time/finishing-surface.js';
import { passExtents, type CutRegions, type PassExtents } from '../time/pass-pieces.js';
import { leastGradients, sideGradient, stepdownAt, stepoverAt } from '../time/pass-steps.js';
import { facetMinutes, passTimes, type PassPlan } from '../time/pass-time.js';
import { stepSetter, type StepSetter } from '../time/step-setters.js';
import { borderGradients, finishingFeed, type PassLayout } from './pass-layout.js';

/** The pieces that a pass is laid in, each with steps of its own, set by its own worst place. */
export interface PassGround {
  readonly strategy: Strategy;
  /** the pieces; their numbers are their regions */
  readonly where: CutRegions;
  readonly extents: PassExtents;
  /** (pieces) smallest |∇f| */
  readonly gradients: Float64Array;
  /** (pieces) floor or wall that each is; -1: none */
  readonly patchOf: Int32Array;
  /** before any was cut apart */
  readonly uncut: Pick<PassGround, 'where' | 'extents'>;
}
export type TwoGrounds = Readonly<Record<'waterline' | 'raster', PassGround>>;

/** In the order in which they are told. */
export const PASSES = ['waterline', 'raster', 'constant'] as const;

/** Waterline, raster, and lines at constant spacing along the surface. */
export interface PassGrounds extends Readonly<Record<(typeof PASSES)[number], PassGround>> {
  /** regions that are cut at constant spacing, and which of them each of the other passes leaves to that */
  readonly constantRegions: ReadonlySet<number>;
  readonly leftBy: Readonly<Record<keyof TwoGrounds, ReadonlySet<number>>>;
}

export interface GroundsInput {
  readonly surface: Surface;
  /** of that surface, all that is machined */
  readonly finishing: FinishingSurface;
  /** (F) region of one class */
  readonly regionOfFace: Int32Array;
  /** (F) floor or wall of its own; -1: none */
  readonly patchOf: Int32Array;
  readonly layout: PassLayout;
  readonly setup: Setup;
  /** whose minutes decide */
  readonly cutter: Cutter;
}

/**
 * What hangs together of what a pass cuts is a piece, and each floor and wall. Regions of a piece that are flat to the
 * pass are cut apart where that is faster: their small steps are then theirs alone, for moves that are counted.
 *
 * @param isLeft whether a pass leaves a facet
 */
export function twoGrounds(
  input: GroundsInput,
  isLeft: (pass: keyof TwoGrounds, f: number) => boolean,
): TwoGrounds {
  const { surface, finishing, patchOf, layout } = input;
  const of = (pass: keyof TwoGrounds, strategy: Strategy): PassGround => {
    const mask = passMask(finishing.classOf, strategy.kind);
    const labels = patchOf.map((patch, f) => (mask[f] === 0 || isLeft(pass, f) ? -1 : patch + 1));
    const uncut = piecesOf(input, strategy, connectedRegions(surface.topology, labels));
    let pieces = uncut,
      /** pieces from here on may still be cut apart: those before were tried */
      from = 0;
    for (;;) {
      const parted = cutApart(input, pieces, from);
      if (parted === null) return { ...pieces, uncut };
      [pieces, from] = [parted.pieces, parted.from];
    }
  };
  return {
    waterline: of('waterline', { kind: 'waterline' }),
    raster: of('raster', { kind: 'raster', feedRad: layout.rasterRad }),
  };
}

/** How a cutter is led over each piece. */
export function groundPlans(
  { strategy, gradients }: Pick<PassGround, 'strategy' | 'gradients'>,
  { layout, setup, cutter }: Pick<GroundsInput, 'layout' | 'setup' | 'cutter'>,
): PassPlan[] {
  const steepestRad = strategy.kind === 'raster' ? layout.splitEndRad : Math.PI / 2,
    stepAt = strategy.kind === 'waterline' ? stepdownAt : stepoverAt;
  const planned = new Map<number, PassPlan>();
  return Array.from(gradients, (gradient) => {
    const known = planned.get(gradient);
    if (known) return known;
    const spacingMm = stepAt(layout.steps, cutter, gradient);
    const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, steepestRad, layout.work);
    const plan = { strategy, spacingMm, cutter, feedMmPerMin, machine: setup.machine };
    planned.set(gradient, plan);
    return plan;
  });
}

type Pieces = Omit<PassGround, 'uncut'>;

export function piecesOf(
  { surface, finishing, patchOf, layout }: GroundsInput,
  strategy: Strategy,
  { regionOfFace, count }: { readonly regionOfFace: Int32Array; readonly count: number },
): Pieces {
  const where = { mesh: surface.mesh, topology: surface.topology, regionOf: regionOfFace, count };
  const patchOfPiece = new Int32Array(count).fill(-1);
  regionOfFace.forEach((piece, f) => {
    if (piece >= 0) patchOfPiece[piece] = patchOf[f];
  });
  return {
    strategy,
    where,
    extents: passExtents(where, strategy),
    gradients: gradientsOf(finishing, regionOfFace, count, strategy, layout),
    patchOf: patchOfPiece,
  };
}

/** Smallest |∇f| of each group, on this side of the split; facets that were cut anew may be told a little flatter. */
function gradientsOf(
  finishing: FinishingSurface,
  groupOf: Int32Array,
  count: number,
  strategy: Strategy,
  layout: PassLayout,
): Float64Array {
  const border = borderGradients(layout)[strategy.kind === 'raster' ? 'raster' : 'waterline'];
  return leastGradients(finishing, groupOf, count, strategy).map((least) => sideGradient(least, border));
}

/**
 * Tries to cut each piece in two, regions that need small steps and the others, and keeps what is faster.
 *
 * @returns pieces from `from` on are new; null: none was cut
 */
function cutApart(
  input: GroundsInput,
  pieces: Pieces,
  from: number,
): { readonly pieces: Pieces; readonly from: number } | null {
  const { finishing, surface } = input,
    { where } = pieces;
  const isFine = finePart(input, pieces, from);
  const labels = where.regionOf.map((piece, f) => (isFine[f] < 0 ? -1 : 2 * piece + isFine[f]));
  const { regionOfFace: partOf, count } = connectedRegions(surface.topology, labels);
  if (count === 0) return null;
  const parts = piecesOf(input, pieces.strategy, { regionOfFace: partOf, count });
  const minutesOf = (one: Pieces): Float64Array =>
    Float64Array.from(
      passTimes(finishing, one.where, groundPlans(one, input), one.extents),
      ({ minutes }) => minutes,
    );
  const whole = minutesOf(pieces),
    apart = new Float64Array(where.count),
    ofPart = minutesOf(parts);
  const pieceOfPart = new Int32Array(count);
  partOf.forEach((part, f) => {
    if (part >= 0) pieceOfPart[part] = where.regionOf[f];
  });
  pieceOfPart.forEach((piece, part) => {
    apart[piece] += ofPart[part];
  });
  const isCut = whole.map((minutes, piece) => (apart[piece] > 0 && apart[piece] < minutes ? 1 : 0));
  if (!isCut.includes(1)) return null;
  // What stays as it is comes first.
  let next = 0;
  const kept = Array.from(isCut, (is) => (is ? -1 : next++)),
    newFrom = next;
  const renumbered = Array.from(pieceOfPart, (piece) => (isCut[piece] ? next++ : -1));
  const regionOfFace = Int32Array.from(where.regionOf, (piece, f) => {
    if (piece < 0) return -1;
    return isCut[piece] ? renumbered[partOf[f]] : kept[piece];
  });
  return { pieces: piecesOf(input, pieces.strategy, { regionOfFace, count: next }), from: newFrom };
}

/** (F) 1: in a region that sets the step of its piece, 0: elsewhere in such a piece, -1: in one to be left as it is. */
function finePart(input: GroundsInput, ground: Pieces, from: number): Int8Array {
  const { regionOf } = ground.where;
  const isFine = new Int8Array(regionOf.length).fill(-1);
  const found = setters(input, ground, from),
    apart = new Map(found.map(({ piece, regionIds }) => [piece, new Set(regionIds)]));
  regionOf.forEach((piece, f) => {
    const fine = apart.get(piece);
    if (fine) isFine[f] = fine.has(input.regionOfFace[f]) ? 1 : 0;
  });
  return isFine;
}

/** Regions that set the step of a piece, with the others of it. */
export interface Setter extends Pick<StepSetter, 'restStepMm' | 'savesMinutes'> {
  readonly piece: number;
  readonly stepMm: number;
  readonly regionIds: readonly number[];
  readonly restIds: readonly number[];
}

/** As much as setters are told from. */
interface SetPieces extends Pick<PassGround, 'strategy' | 'gradients'> {
  readonly where: Pick<CutRegions, 'regionOf'>;
}

/** Which regions to cut apart in each piece from `from` on, as if moves took no time; none of pieces where nothing is saved. */
export function setters(
  input: Pick<GroundsInput, 'finishing' | 'regionOfFace' | 'layout' | 'setup' | 'cutter'>,
  { strategy, where: { regionOf }, gradients }: SetPieces,
  from = 0,
): Setter[] {
  const { finishing, regionOfFace, layout } = input;
  const faces = [...regionOf.keys()].filter((f) => regionOf[f] >= from && finishing.areas[f] > 0);
  if (faces.length === 0) return [];
  // What a piece has of a region is numbered by the first of its facets.
  const first = firstEqualRows(Int32Array.from(faces.flatMap((f) => [regionOf[f], regionOfFace[f]])), 2);
  const groundAt = new Int32Array(regionOf.length).fill(-1);
  faces.forEach((f, i) => {
    groundAt[f] = first[i];
  });
  const plans = groundPlans({ strategy, gradients }, input),
    least = gradientsOf(finishing, groundAt, faces.length, strategy, layout),
    own = groundPlans({ strategy, gradients: least }, input);
  const cutting = facetMinutes(finishing, plans[regionOf[faces[0]]]),
    minutes = new Float64Array(faces.length);
  for (const f of faces) {
    const { spacingMm, machine } = plans[regionOf[f]];
    minutes[groundAt[f]] +=
      (cutting[f] * machine.timeFactor * plans[regionOf[faces[0]]].spacingMm) / spacingMm;
  }
  const inPiece = new Map<number, number[]>();
  first.forEach((at, i) => {
    if (at === i) addToList(inPiece, regionOf[faces[i]], i);
  });
  return [...inPiece].flatMap(([piece, grounds]) => {
    const stepMm = plans[piece].spacingMm;
    // Facets of a piece that are not reached may have set its step.
    const found = stepSetter(
      grounds.map((at) => ({ minutes: minutes[at], ownStepMm: Math.max(stepMm, own[at].spacingMm) })),
      stepMm,
    );
    if (found === null) return [];
    const regionAt = (i: number): number => regionOfFace[faces[grounds[i]]];
    const isApart = (i: number): boolean => found.apart.includes(i);
    return [
      {
        piece,
        stepMm,
        restStepMm: found.restStepMm,
        savesMinutes: found.savesMinutes,
        regionIds: found.apart.map(regionAt),
        restIds: [...grounds.keys()].filter((i) => !isApart(i)).map(regionAt),
      },
    ];
  });
}

/**
 * Adds the time of each piece to groups of facets, shared by the cutting on them; by area where a piece has none: the
 * centre of a ball stands still in a hollow of its own radius, and takes its moves there all the same.
 *
 * @param cutting (F) as a share of its piece's
 * @param areas (F) mm²
 * @param groupOf (F) -1: in none
 */
export function pieceMinutes(
  cutting: Float64Array,
  areas: Float64Array,
  { regionOf, count }: Pick<CutRegions, 'regionOf' | 'count'>,
  minutesOf: (piece: number) => number,
  groupOf: Int32Array,
  out: Float64Array,
): void {
  const [whole, flat] = [cutting, areas].map((values) => {
    const sums = new Float64Array(count);
    for (let f = 0; f < values.length; f++) if (regionOf[f] >= 0) sums[regionOf[f]] += Math.max(0, values[f]);
    return sums;
  });
  const factor = whole.map((own, piece) => {
    const all = own > 0 ? own : flat[piece];
    return all > 0 ? minutesOf(piece) / all : 0;
  });
  for (let f = 0; f < cutting.length; f++) {
    const piece = regionOf[f];
    if (groupOf[f] < 0 || piece < 0) continue;
    out[groupOf[f]] += Math.max(0, whole[piece] > 0 ? cutting[f] : areas[f]) * factor[piece];
  }
}

/** (F) Step of the passes over each facet, of all the closest, mm; Infinity: none runs there. */
export function closestSteps(
  grounds: PassGrounds,
  led: Pick<GroundsInput, 'layout' | 'setup' | 'cutter'>,
): Float64Array {
  const steps = new Float64Array(grounds.raster.where.regionOf.length).fill(Infinity);
  for (const pass of PASSES) {
    const ground = grounds[pass],
      plans = groundPlans(ground, led);
    ground.where.regionOf.forEach((piece, f) => {
      if (piece >= 0) steps[f] = Math.min(steps[f], plans[piece].spacingMm);
    });
  }
  return steps;
}
