import { firstWhere } from '../core/first-where.js';
import { growingNumbers, type GrowingNumbers } from '../core/growing-numbers.js';
import { listsByKey } from '../core/lists.js';
import { rowsOf } from '../core/rows-of.js';
import { scrambled } from '../core/scrambled.js';
import { mapTo } from '../core/map-to.js';
import { compensatedSum, runningSum } from '../core/sum.js';
import { doubleArea } from '../part/facet-geometry.js';
import type { SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { byPlace } from '../reach/place-order.js';
import { evenlyBySize, pointOn, pointShares } from './facet-samples.js';
import { localFit, type LocalFit, type Traits } from './local-fit.js';

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
 * @param feet (6 N) position on the true surface and unit normal there
 * @param foretold (N) what those asked about before tell of each, mm; NaN: nothing
 */
export type MeasureColumns = (feet: Float64Array, foretold: Float64Array) => Promise<ArrayLike<number>>;

/** Feet over all places, and of one place at least: they cost next to nothing until asked about. */
const FEET = 16_384,
  LEAST_FEET = 64;
/** Columns asked at first over all places, and in one place at least. */
const FIRST = 512,
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
/** Feet of a place are dealt into so many hands. */
const HANDS = 4;
/** A column is asked as often where the cutter nearly fits as this, against one where it does not at all. */
const LEAST_WEIGHT = 0.15;
/** Along a corner columns change slowly: distances, and turns of the normal, in radii, count as this much. */
const ALONG = 0.3;
/** Traits of a foot, and those that columns change with: x, y, z and how much of the cutter fits. The normal tells them apart only. */
const TRAITS = 7,
  SLOPES = 4;
/** Numbers of a foot: position on the true surface and unit normal there. */
const FOOT = 6;
/** Multiples of the golden section are spread evenly over 0 .. 1, however many there are. */
const GOLDEN = 0.6180339887498949;

/** Feet of a place, each for the same share of the plan, near ones mostly after each other. */
interface Feet {
  /** (6 N) */
  readonly at: Float64Array;
  readonly traits: Traits;
  /** (N) how often each is asked about, against others */
  readonly weights: Float64Array;
  /** (N) how high their columns are, mm; NaN: not asked about. Filled in as they are. */
  readonly heights: Float64Array;
}

/** Some of them. */
interface Hand {
  /** (N) which */
  readonly feet: Int32Array;
  /** of all of them */
  readonly weight: number;
  /** (N) share of the weight up to and with each */
  readonly shares: Float64Array;
  /** those drawn by weight, one twice if it was */
  readonly drawn: GrowingNumbers;
}

interface Place {
  readonly index: number;
  /** mm², in plan, of one foot */
  readonly footMm2: number;
  /** share of all columns */
  readonly share: number;
  readonly feet: Feet;
  readonly hands: readonly Hand[];
}

/**
 * Volume of the columns over a ground, place by place.
 *
 * Many feet are spread evenly by area in plan and dealt into a few hands. Of each hand some are drawn evenly by weight
 * and asked about. What those of the other hands tell of a hand, from feet near and alike (`localFit`), is right but
 * for what its own are more or less than that, on the mean: a difference estimator (W. G. Cochran, Sampling Techniques,
 * chapter 7, from memory) without bias, since none of its own had a part in the telling. More are asked about until the
 * standard error is small, everywhere alike: where more are asked for what those before showed, slots that those missed
 * stay out, which made them 2 to 10 % too small.
 */
export async function columnVolumes(
  ground: ColumnGround,
  places: number,
  measure: MeasureColumns,
): Promise<ColumnVolumes> {
  const own = placesOf(ground, places);
  let told: Told[] = [];
  const slight = SLIGHT * ground.toleranceMm * areaOf(own);
  for (let wanted = FIRST, more = LEAST_MORE; more > 1; wanted = Math.ceil(more * wanted)) {
    await askUpTo(own, told, Math.min(MOST_COLUMNS, wanted), measure);
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

const areaOf = (own: readonly Place[]): number =>
  compensatedSum(own.map(({ feet, footMm2 }) => footMm2 * feet.weights.length));

/** Draws so many feet in all and asks about those that are new, near ones after each other. */
async function askUpTo(
  own: readonly Place[],
  told: readonly Told[],
  wanted: number,
  measure: MeasureColumns,
): Promise<void> {
  const open = own.flatMap(({ feet: { heights }, hands, share }, p) =>
    hands.flatMap((hand, k) => {
      const isNew = new Set(drawUpTo(hand, k, Math.max(LEAST_COLUMNS, share * wanted) / HANDS));
      return [...isNew].filter((i) => Number.isNaN(heights[i])).map((i) => ({ p, k, i }));
    }),
  );
  const places = new Float64Array(FOOT * open.length);
  open.forEach(({ p, i }, n) => {
    places.set(own[p].feet.at.subarray(FOOT * i, FOOT * (i + 1)), FOOT * n);
  });
  const order = inPlaceOrder(places);
  const foretold = Float64Array.from(order, (n) => {
    const { p, k, i } = open[n];
    return told[p]?.fits[k].at(i) ?? NaN;
  });
  const found = await measure(rowsOf(places, order, FOOT), foretold);
  order.forEach((n, at) => {
    const { p, i } = open[n];
    own[p].feet.heights[i] = found[at];
  });
}

/** Draws feet of a hand until there are so many. @returns those that are new */
function drawUpTo({ feet, shares, drawn }: Hand, k: number, count: number): number[] {
  const more: number[] = [];
  for (let j = drawn.length(); j < count; j++) {
    const share = (scrambled(k) + j * GOLDEN) % 1;
    const foot = feet[firstWhere(shares.length - 1, (at) => shares[at] > share)];
    drawn.push(foot);
    more.push(foot);
  }
  return more;
}

/** What the columns asked about in a place tell. */
interface Told {
  /** of each hand, from the columns of the others */
  readonly fits: readonly LocalFit[];
  /** by how much each hand's columns are more than that, summed over its feet, mm */
  readonly more: readonly number[];
  /** of the place's volume */
  readonly variance: number;
  readonly roughlyMm3: number;
}

function toldBy({ feet, hands, footMm2 }: Place): Told {
  const { heights, traits } = feet;
  const known = hands.map((hand) => hand.feet.filter((i) => !Number.isNaN(heights[i])));
  const fits = hands.map((_, k) => {
    const others = known.flatMap((own, l) => (l === k ? [] : [...own]));
    return localFit(traits, Int32Array.from(others), heights);
  });
  const sums = hands.map((hand, k) => ({
    more: totalOf(hand, feet, (i) => heights[i] - fits[k].at(i)),
    all: totalOf(hand, feet, (i) => heights[i]),
  }));
  return {
    fits,
    more: sums.map(({ more }) => more.total),
    variance: footMm2 ** 2 * compensatedSum(sums.map(({ more }) => more.variance)),
    roughlyMm3: footMm2 * compensatedSum(sums.map(({ all }) => all.total)),
  };
}

/** Sum of a quantity over a hand, from the feet drawn by weight. @param of a foot, by its index */
function totalOf(
  { weight, drawn }: Hand,
  { weights }: Feet,
  of: (i: number) => number,
): { total: number; variance: number } {
  const terms = drawn.toArray().map((i) => (of(i) * weight) / weights[i]),
    total = compensatedSum(terms) / terms.length;
  const squares = compensatedSum(terms.map((term) => (term - total) ** 2));
  return { total, variance: squares / Math.max(1, terms.length - 1) / terms.length };
}

function volumeOf({ hands, footMm2 }: Place, { fits, more }: Told): number {
  const sums = hands.map(({ feet }, k) => {
    const sum = runningSum();
    for (const i of feet) sum.add(fits[k].at(i));
    return sum.value() + more[k];
  });
  // Of a place in which next to nothing is left, what is taken out may outweigh it.
  return Math.max(0, footMm2 * compensatedSum(sums));
}

/** Feet of the columns that are as high as those of other hands around them, highest first. */
function peaksOf(own: readonly Place[], told: readonly Told[]): Float64Array[] {
  const peaks = own.flatMap(({ feet: { at, heights }, hands }, p) =>
    hands.flatMap(({ feet }, k) =>
      Array.from(
        feet.filter((i) => heights[i] > 0 && heights[i] >= told[p].fits[k].mostAround(i)),
        (i) => ({
          height: heights[i],
          at: at.slice(FOOT * i, FOOT * (i + 1)),
        }),
      ),
    ),
  );
  return peaks.sort((a, b) => b.height - a.height).map(({ at }) => at);
}

function placesOf(ground: ColumnGround, places: number): Place[] {
  const { mesh } = ground.surface;
  const { start, items } = listsByKey(
    mapTo(new Int32Array(ground.faces.length), ground.faces, ground.placeOf),
    places,
  );
  const all = Array.from({ length: places }, (_, index) => {
    const faces = Int32Array.from(items.subarray(start[index], start[index + 1]), (i) => ground.faces[i]);
    const areas = Float64Array.from(faces, (f) => planArea(mesh, f));
    const weight = compensatedSum(areas.map((area, k) => area * weightOf(fitOf(ground, faces[k], MIDDLE))));
    return { index, faces, areas, weight };
  }).filter(({ faces }) => faces.length > 0);
  const total = compensatedSum(all.map(({ weight }) => weight)),
    roots = compensatedSum(all.map(({ weight }) => Math.sqrt(weight)));
  return all.map(({ index, faces, areas, weight }) => {
    const count = Math.max(LEAST_FEET, Math.round((FEET * weight) / total));
    const feet = feetOn(ground, faces, areas, count);
    return {
      index,
      footMm2: compensatedSum(areas) / count,
      // Small places are to be told nearly as well as large ones.
      share: Math.sqrt(weight) / roots,
      feet,
      hands: Array.from({ length: HANDS }, (_, k) => handOf(feet, k)),
    };
  });
}

/** Every so manieth foot of a place, from the k-th on. */
function handOf({ weights }: Feet, k: number): Hand {
  const feet = Int32Array.from({ length: Math.ceil((weights.length - k) / HANDS) }, (_, i) => HANDS * i + k);
  const shares = Float64Array.from(feet, (i) => weights[i]),
    weight = compensatedSum(shares);
  let sum = 0;
  for (let i = 0; i < shares.length; i++) {
    sum += shares[i] / weight;
    shares[i] = sum;
  }
  return { feet, weight, shares, drawn: growingNumbers() };
}

/** Area in plan, mm²; positive: the facet faces up. */
export function planArea(mesh: Mesh, f: number): number {
  doubleArea(mesh, f, cross);
  return 0.5 * cross[2];
}

const cross = new Float64Array(3);

const MIDDLE = [1 / 3, 1 / 3, 1 / 3] as const;
/** How much of the cutter fits at a point of a facet. @param shares what each corner has of it */
const fitOf = (
  { surface: { mesh }, fits }: ColumnGround,
  f: number,
  [a, b, c]: readonly [number, number, number],
): number =>
  a * fits(mesh.triangles[3 * f]) + b * fits(mesh.triangles[3 * f + 1]) + c * fits(mesh.triangles[3 * f + 2]);
const weightOf = (fit: number): number => LEAST_WEIGHT + 1 - fit;

/** Feet evenly by area in plan. */
function feetOn(ground: ColumnGround, faces: Int32Array, areas: Float64Array, count: number): Feet {
  const places = new Float64Array(FOOT * count),
    fits = new Float64Array(count);
  let next = 0;
  for (const k of evenlyBySize(areas, count)) {
    fits[next] = fitOf(ground, faces[k], pointShares(next));
    places.set(pointOn(ground, faces[k], next), FOOT * next);
    next++;
  }
  const order = inPlaceOrder(places),
    at = rowsOf(places, order, FOOT);
  const weights = new Float64Array(count),
    values = new Float64Array(TRAITS * count);
  order.forEach((from, i) => {
    weights[i] = weightOf(fits[from]);
    setTraits(values, i, at, fits[from], ground.radiusMm);
  });
  return {
    at,
    weights,
    traits: { values, count: TRAITS, slopes: SLOPES },
    heights: new Float64Array(count).fill(NaN),
  };
}

const inPlaceOrder = (feet: Float64Array): Int32Array =>
  byPlace(feet, new Int32Array(feet.length / FOOT), FOOT);

function setTraits(values: Float64Array, i: number, at: Float64Array, fit: number, radiusMm: number): void {
  const o = TRAITS * i,
    foot = FOOT * i;
  for (let k = 0; k < 3; k++) {
    values[o + k] = ALONG * at[foot + k];
    values[o + SLOPES + k] = ALONG * radiusMm * at[foot + 3 + k];
  }
  values[o + 3] = 2 * radiusMm * fit;
}
