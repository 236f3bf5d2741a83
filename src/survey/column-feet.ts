import { firstWhere } from '../core/first-where.js';
import { growingNumbers } from '../core/growing-numbers.js';
import { rowsOf } from '../core/rows-of.js';
import { scrambled } from '../core/scrambled.js';
import { byPlace } from '../reach/place-order.js';
import { moveAcross, sharesBeside, type InPlan, type Sliver } from './true-ground.js';
import { pointAt, sharesAlong, type Shares, type TrueGround } from './facet-samples.js';

/** Ground from which upright columns rise. */
export interface ColumnGround extends TrueGround {
  /** facets that face up, near ones mostly after each other */
  readonly faces: Int32Array;
  /** what a facet holds in plan, and the ground beside it */
  readonly inPlan: (f: number) => InPlan;
  /** place, from 0, to whose volume a facet's columns add */
  readonly placeOf: (f: number) => number;
  /** 0 .. 1: how much of the cutter fits at a vertex; what is alike there has columns alike */
  readonly fits: (v: number) => number;
  /** DC/2, mm */
  readonly radiusMm: number;
  readonly toleranceMm: number;
}

/** Facets, and the ground between chords and walls beside them, laid one after the other. */
export interface Strip {
  /** (N) facet, or the one beside which there is ground */
  readonly faces: Int32Array;
  /** by where they lie in the strip */
  readonly slivers: ReadonlyMap<number, Sliver>;
  /** (N) area in plan up to and with each, mm² */
  readonly upTo: Float64Array;
}

/** Places on a strip, near ones mostly after each other. */
interface Feet {
  /** (6 N) position on the true surface and unit normal there */
  readonly at: Float64Array;
  /** (N x `TRAITS.count`) what tells them apart, mm */
  readonly traits: Float64Array;
}

/** Stretches of a strip, each with a foot somewhere on it. */
export interface Stretches extends Feet {
  /** (N) where each begins and how long it is, mm² of the strip */
  readonly from: Float64Array;
  readonly areas: Float64Array;
  /** (N) how often a column is to stand on it, against others */
  readonly weights: Float64Array;
  /** (N) by how much columns differ about it, over its area, mm³; NaN: not known */
  readonly unlike: Float64Array;
}

/** Places of columns to be asked about. */
export interface Drawn extends Feet {
  /** (N) one by how likely each was to stand where it does, mm²: what it would stand for, were it alone */
  readonly shares: Float64Array;
}

/** Numbers of a foot: position and normal. */
export const FOOT = 6;
/** The first traits are those that columns change with: x, y, z and how much of the cutter fits. */
export const TRAITS = { count: 7, slopes: 4 };
/** A column is asked as often where the cutter nearly fits as this, against one where it does not at all. */
const LEAST_WEIGHT = 0.15;
/** Along a corner columns change slowly: distances, and turns of the normal, in radii, count as this much. */
const ALONG = 0.3;
/** Multiples of the golden section are spread evenly over 0 .. 1, however many there are. */
const GOLDEN = 0.6180339887498949;

/** @param faces that face up */
export function stripOf(ground: ColumnGround, faces: Int32Array): Strip {
  const own = growingNumbers(),
    upTo = growingNumbers(),
    slivers = new Map<number, Sliver>();
  let sum = 0;
  const push = (f: number, area: number): void => {
    if (area === 0) return;
    own.push(f);
    sum += area;
    upTo.push(sum);
  };
  for (const f of faces) {
    const { areaMm2, besides } = ground.inPlan(f);
    push(f, areaMm2);
    for (const sliver of besides) {
      slivers.set(own.length(), sliver);
      push(f, sliver.areaMm2);
    }
  }
  return { faces: Int32Array.from(own.toArray()), slivers, upTo: upTo.toArray() };
}

export const lengthOf = ({ upTo }: Strip): number => upTo[upTo.length - 1];

/** Area of a strip in plan, mm², each facet's times how often columns of it are to be asked about. */
export const weightOfStrip = (ground: ColumnGround, strip: Strip): number =>
  strip.faces.reduce(
    (sum, f, k) => sum + (strip.upTo[k] - startOf(strip, k)) * weightOf(fitOf(ground, f, MIDDLE)),
    0,
  );

/** So many even stretches of a strip. */
export function evenStretches(ground: ColumnGround, strip: Strip, count: number): Stretches {
  const step = lengthOf(strip) / count;
  const from = Float64Array.from({ length: count }, (_, i) => i * step);
  const areas = from.slice().fill(step);
  const { at, traits, fits } = feetOn(ground, strip, from, areas, 0);
  return {
    at,
    traits,
    from,
    areas,
    weights: areas.map((area, i) => area * weightOf(fits[i])),
    unlike: areas.slice().fill(NaN),
  };
}

/**
 * Parts stretches into equal ones.
 *
 * @param parts (N) how many of each
 */
export function partStretches(
  ground: ColumnGround,
  strip: Strip,
  { from, areas, weights, unlike }: Stretches,
  parts: Int32Array,
): Stretches {
  const parents = new Int32Array(parts.reduce((sum, count) => sum + count, 0));
  let next = 0,
    part = 0;
  parts.forEach((count, i) => {
    parents.fill(i, next, next + count);
    next += count;
  });
  const begins = Float64Array.from(parents, (i, n) => {
    part = parents[n - 1] === i ? part + 1 : 0;
    return from[i] + (part * areas[i]) / parts[i];
  });
  const shareOf = (values: Float64Array): Float64Array =>
    Float64Array.from(parents, (i) => values[i] / parts[i]);
  const sizes = shareOf(areas);
  const { at, traits } = feetOn(ground, strip, begins, sizes, 0);
  return {
    at,
    traits,
    from: begins,
    areas: sizes,
    weights: shareOf(weights),
    unlike: shareOf(unlike),
  };
}

/**
 * Draws places of columns on stretches, evenly by weight, each anew somewhere on its stretch.
 *
 * @param weights (N) of the stretches
 * @param first how many were drawn before
 */
export function drawColumns(
  ground: ColumnGround,
  strip: Strip,
  { from, areas }: Stretches,
  weights: Float64Array,
  count: number,
  first: number,
): Drawn {
  const upTo = new Float64Array(weights.length);
  let total = 0;
  weights.forEach((weight, i) => {
    upTo[i] = total += weight;
  });
  const drawn = Int32Array.from({ length: count }, (_, j) => {
    const weight = ((0.5 + (first + j) * GOLDEN) % 1) * total;
    return firstWhere(upTo.length - 1, (i) => upTo[i] > weight);
  });
  const { at, traits } = feetOn(ground, strip, rowsOf(from, drawn, 1), rowsOf(areas, drawn, 1), first + 1);
  return { at, traits, shares: Float64Array.from(drawn, (i) => (areas[i] * total) / weights[i]) };
}

/** @param at (6 N) see `Feet` */
export const inPlaceOrder = (at: Float64Array): Int32Array =>
  byPlace(at, new Int32Array(at.length / FOOT), FOOT);

/**
 * Feet somewhere on stretches of a strip.
 *
 * @param from (N) where each begins, mm² of the strip
 * @param seed of where on them
 */
function feetOn(
  ground: ColumnGround,
  strip: Strip,
  from: Float64Array,
  areas: Float64Array,
  seed: number,
): { readonly at: Float64Array; readonly traits: Float64Array; readonly fits: Float64Array } {
  const { faces, slivers, upTo } = strip;
  const at = new Float64Array(FOOT * areas.length),
    traits = new Float64Array(TRAITS.count * areas.length);
  const fits = areas.map((area, n) => {
    const place = from[n] + scrambled(seed + n) * area;
    const k = firstWhere(faces.length - 1, (facet) => upTo[facet] > place),
      f = faces[k],
      before = startOf(strip, k);
    const sliver = slivers.get(k),
      along = (place - before) / (upTo[k] - before);
    const shares = sliver ? sharesBeside(sliver, along) : sharesAlong(along),
      fit = fitOf(ground, f, shares),
      foot = pointAt(ground, f, shares);
    if (sliver) moveAcross(sliver, shares, scrambled(-2 - seed - n), foot);
    at.set(foot, FOOT * n);
    setTraits(traits, at, n, fit, ground.radiusMm);
    return fit;
  });
  return { at, traits, fits };
}

function setTraits(traits: Float64Array, at: Float64Array, n: number, fit: number, radiusMm: number): void {
  const o = TRAITS.count * n,
    foot = FOOT * n;
  for (let k = 0; k < 3; k++) {
    traits[o + k] = ALONG * at[foot + k];
    traits[o + TRAITS.slopes + k] = ALONG * radiusMm * at[foot + 3 + k];
  }
  traits[o + 3] = 2 * radiusMm * fit;
}

const MIDDLE: Shares = [1 / 3, 1 / 3, 1 / 3];
const startOf = ({ upTo }: Strip, k: number): number => (k > 0 ? upTo[k - 1] : 0);
/** How much of the cutter fits at a point of a facet. @param shares what each corner has of it */
const fitOf = ({ surface: { mesh }, fits }: ColumnGround, f: number, [a, b, c]: Shares): number =>
  a * fits(mesh.triangles[3 * f]) + b * fits(mesh.triangles[3 * f + 1]) + c * fits(mesh.triangles[3 * f + 2]);
const weightOf = (fit: number): number => LEAST_WEIGHT + 1 - fit;
