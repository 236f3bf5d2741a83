import { listsByKey } from '../core/lists.js';
import { scrambled } from '../core/scrambled.js';
import { compensatedSum } from '../core/sum.js';
import { doubleArea } from '../part/facet-geometry.js';
import type { SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { byPlace } from '../reach/place-order.js';
import { evenlyBySize, pointOn, pointShares } from './facet-samples.js';
import { localFit, type LocalFit } from './local-fit.js';

/** Ground from which upright columns rise. */
export interface ColumnGround {
  readonly surface: Surface;
  readonly part: SmoothPart;
  /** facets that face up, near ones mostly after each other */
  readonly faces: Int32Array;
  /** place, from 0, to whose volume a facet's columns add */
  readonly placeOf: (f: number) => number;
  /** 0 .. 1: how much of the cutter fits at a vertex; what is alike there has columns alike */
  readonly fits: (v: number) => number;
  /** DC/2, mm */
  readonly radiusMm: number;
  readonly toleranceMm: number;
}

export interface ColumnVolumes {
  /** mm³, of each place */
  readonly volumesMm3: readonly number[];
  /** the feet of columns that are as high as all around them, highest first: (6) position and unit normal */
  readonly highest: readonly Float64Array[];
}

/**
 * How high columns are, mm.
 *
 * @param feet (6) each, position on the true surface and unit normal there
 * @param foretold what those asked about before tell of each, mm; NaN: nothing
 */
export type MeasureColumns = (
  feet: readonly Float64Array[],
  foretold: readonly number[],
) => Promise<ArrayLike<number>>;

/** Feet over all places, and of one place at least: they cost next to nothing until asked about. */
const FEET = 16_384,
  LEAST_FEET = 64;
/** Columns asked at first over all places, and in one place at least. */
const FIRST = 256,
  LEAST_COLUMNS = 8;
/** No more columns than these, but for those that places begin with. */
const MOST_COLUMNS = 6000;
/**
 * Standard error of the whole volume that is enough: this share of it, or as much as this share of the tolerance makes
 * over all of the ground.
 */
const ENOUGH = 0.005,
  SLIGHT = 0.015;
/** The error falls faster than by the root of the number of columns, as they foretell each other better. */
const FALL = 0.7;
/** Columns are asked for in so many times more, at most and at least. */
const MOST_MORE = 3,
  LEAST_MORE = 1.2;
/** A column is asked as often where the cutter nearly fits as this, against one where it does not at all. */
const LEAST_WEIGHT = 0.15;
/** Along a corner columns change slowly: distances, and turns of the normal, in radii, count as this much. */
const ALONG = 0.3;
/** The traits that columns change with: x, y, z and how much of the cutter fits. The normal tells them apart only. */
const SLOPES = 4;

interface Foot {
  /** (6) position on the true surface and unit normal there */
  readonly at: Float64Array;
  /** what tells feet apart, mm */
  readonly traits: readonly number[];
  readonly weight: number;
  /** n feet with the least of these are n drawn by weight */
  readonly turn: number;
}

/** Feet of a place, each for the same share of its plan, in the order in which they are asked about. */
interface Place {
  readonly index: number;
  readonly feet: readonly Foot[];
  readonly areaMm2: number;
  /** share of all columns */
  readonly share: number;
  /** of the first feet, mm */
  readonly heights: readonly number[];
}

/**
 * Volume of the columns over a ground, place by place.
 *
 * Many feet are spread evenly by area in plan. Some of them, drawn by weight, are asked about; of the others those near
 * and alike tell. What each column asked about differs from what the others tell of it, by how likely it was drawn,
 * takes out what they mislead by (a difference estimator: W. G. Cochran, Sampling Techniques, chapter 7; likelihoods of
 * E. Cohen and H. Kaplan, Summarizing data using bottom-k sketches, 2007; both from memory). More are asked about until
 * the standard error is small, everywhere alike: where more are asked for what those before showed, slots that those
 * missed stay out, which made them 2 to 10 % too small.
 */
export async function columnVolumes(
  ground: ColumnGround,
  places: number,
  measure: MeasureColumns,
): Promise<ColumnVolumes> {
  let own = placesOf(ground, places),
    told: Told[] = [];
  const slight = SLIGHT * ground.toleranceMm * compensatedSum(own.map(({ areaMm2 }) => areaMm2));
  for (let wanted = FIRST, more = LEAST_MORE; more > 1; wanted = Math.ceil(more * wanted)) {
    own = await askUpTo(own, told, Math.min(MOST_COLUMNS, wanted), measure);
    told = own.map(toldBy);
    const volume = compensatedSum(told.map(({ roughlyMm3 }) => roughlyMm3)),
      error = Math.sqrt(compensatedSum(told.map(({ variance }) => variance)));
    const excess = error / Math.max(slight, ENOUGH * volume);
    more = excess > 1 && wanted < MOST_COLUMNS ? moreFor(excess) : 1;
  }
  const volumesMm3 = new Array<number>(places).fill(0);
  for (const [i, place] of own.entries()) volumesMm3[place.index] = volumeOf(place, told[i]);
  return { volumesMm3, highest: peaksOf(own, told) };
}

/** How many times as many columns bring the error down by so much. */
const moreFor = (excess: number): number => Math.min(MOST_MORE, Math.max(LEAST_MORE, excess ** (1 / FALL)));

/** Asks about so many columns in all, those of a place in its order, near ones after each other. */
async function askUpTo(
  own: readonly Place[],
  told: readonly Told[],
  wanted: number,
  measure: MeasureColumns,
): Promise<Place[]> {
  const asked = own.map(({ feet, share, heights }) => {
    const count = Math.min(feet.length, Math.max(heights.length, LEAST_COLUMNS, Math.round(share * wanted)));
    return feet.slice(heights.length, count);
  });
  const all = asked.flat(),
    foretold = asked.flatMap((feet, p) => feet.map(({ traits }) => told[p]?.fit.at(traits, -1) ?? NaN)),
    order = byPlace(
      Float64Array.from(all.flatMap(({ at }) => [at[0], at[1], at[2]])),
      Int32Array.from(all.keys()).fill(0),
    );
  const found = await measure(
    Array.from(order, (i) => all[i].at),
    Array.from(order, (i) => foretold[i]),
  );
  const heights = new Float64Array(all.length);
  order.forEach((i, k) => {
    heights[i] = found[k];
  });
  let next = 0;
  return own.map((place, p) => {
    const from = next;
    next += asked[p].length;
    return { ...place, heights: [...place.heights, ...heights.subarray(from, next)] };
  });
}

/** What the columns asked about in a place tell. */
interface Told {
  readonly fit: LocalFit;
  /** of each column: what the others tell, and how much it is more, over how likely it was drawn, mm */
  readonly others: readonly number[];
  readonly more: readonly number[];
  /** of the place's volume */
  readonly variance: number;
  readonly roughlyMm3: number;
}

function toldBy({ feet, areaMm2, heights }: Place): Told {
  const asked = feet.slice(0, heights.length);
  const fit = localFit(
    asked.map(({ traits }) => traits),
    heights,
    SLOPES,
  );
  const last = heights.length < feet.length ? feet[heights.length].turn : Infinity;
  const likely = asked.map(({ weight }) => 1 - Math.exp(-weight * last));
  const others = asked.map(({ traits }, i) => fit.at(traits, i));
  const more = others.map((height, i) => (heights[i] - height) / likely[i]);
  const share = areaMm2 / feet.length;
  return {
    fit,
    others,
    more,
    variance: share ** 2 * compensatedSum(more.map((mm, i) => (1 - likely[i]) * mm ** 2)),
    roughlyMm3: share * compensatedSum(heights.map((height, i) => height / likely[i])),
  };
}

function volumeOf({ feet, areaMm2 }: Place, { fit, others, more }: Told): number {
  const heights = feet.map(({ traits }, i) => (i < others.length ? others[i] + more[i] : fit.at(traits, -1)));
  // Of a place in which next to nothing is left, what is taken out may outweigh it.
  return Math.max(0, (areaMm2 / feet.length) * compensatedSum(heights));
}

/** Feet of the columns that are as high as all around them, highest first. */
function peaksOf(own: readonly Place[], told: readonly Told[]): Float64Array[] {
  const peaks = own.flatMap(({ feet, heights }, p) =>
    heights.flatMap((height, i) => (height > 0 && told[p].fit.isPeak(i) ? { height, at: feet[i].at } : [])),
  );
  return peaks.sort((a, b) => b.height - a.height).map(({ at }) => at);
}

function placesOf(ground: ColumnGround, places: number): Place[] {
  const { mesh } = ground.surface;
  const { start, items } = listsByKey([...ground.faces].map(ground.placeOf), places);
  const all = Array.from({ length: places }, (_, index) => {
    const faces = Array.from(items.subarray(start[index], start[index + 1]), (i) => ground.faces[i]);
    const areas = faces.map((f) => planArea(mesh, f));
    const weight = compensatedSum(faces.map((f, k) => areas[k] * weightOf(fitOf(ground, f, MIDDLE))));
    return { index, faces, areas, weight };
  }).filter(({ faces }) => faces.length > 0);
  const total = compensatedSum(all.map(({ weight }) => weight)),
    roots = compensatedSum(all.map(({ weight }) => Math.sqrt(weight)));
  return all.map(({ index, faces, areas, weight }) => ({
    index,
    feet: feetOn(ground, faces, areas, Math.max(LEAST_FEET, Math.round((FEET * weight) / total))),
    areaMm2: compensatedSum(areas),
    // Small places are to be told nearly as well as large ones.
    share: Math.sqrt(weight) / roots,
    heights: [],
  }));
}

/** Area in plan, mm²; positive: the facet faces up. */
export function planArea(mesh: Mesh, f: number): number {
  doubleArea(mesh, f, cross);
  return 0.5 * cross[2];
}

const cross = new Float64Array(3);

const MIDDLE = [1 / 3, 1 / 3, 1 / 3];
/** How much of the cutter fits at a point of a facet. @param shares what each corner has of it */
const fitOf = ({ surface: { mesh }, fits }: ColumnGround, f: number, shares: readonly number[]): number =>
  shares.reduce((sum, share, k) => sum + share * fits(mesh.triangles[3 * f + k]), 0);
const weightOf = (fit: number): number => LEAST_WEIGHT + 1 - fit;

/** Feet evenly by area in plan, by their turn. */
function feetOn(
  ground: ColumnGround,
  faces: readonly number[],
  areas: readonly number[],
  count: number,
): Foot[] {
  let i = 0;
  const feet = Array.from(evenlyBySize(areas, count), (k): Foot => {
    const f = faces[k],
      fit = fitOf(ground, f, pointShares(i)),
      weight = weightOf(fit),
      turn = -Math.log(scrambled(i)) / weight,
      at = pointOn(ground, f, i++).slice();
    return { at, traits: traitsOf(at, fit, ground.radiusMm), weight, turn };
  });
  return feet.sort((a, b) => a.turn - b.turn);
}

const traitsOf = ([x, y, z, nx, ny, nz]: Float64Array, fit: number, radiusMm: number): number[] => [
  ALONG * x,
  ALONG * y,
  ALONG * z,
  2 * radiusMm * fit,
  ALONG * radiusMm * nx,
  ALONG * radiusMm * ny,
  ALONG * radiusMm * nz,
];
