import { firstWhere } from '../core/first-where.js';
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
/** The traits that columns change with: x, y, z and how much of the cutter fits. The normal tells them apart only. */
const SLOPES = 4;
/** Multiples of the golden section are spread evenly over 0 .. 1, however many there are. */
const GOLDEN = 0.6180339887498949;

interface Foot {
  /** (6) position on the true surface and unit normal there */
  readonly at: Float64Array;
  /** what tells feet apart, mm */
  readonly traits: readonly number[];
  readonly weight: number;
}

/** Some feet of a place. */
interface Hand {
  /** near ones mostly after each other, each for the same share of the plan */
  readonly feet: readonly Foot[];
  /** of all of them */
  readonly weight: number;
  /** (feet) share of the weight up to and with each */
  readonly shares: Float64Array;
  /** (feet) how high their columns are, mm; NaN: not asked about */
  readonly heights: Float64Array;
  /** feet drawn by weight, one twice if it was */
  readonly drawn: readonly number[];
}

interface Place {
  readonly index: number;
  /** mm², in plan, of one foot */
  readonly footMm2: number;
  /** share of all columns */
  readonly share: number;
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
  let own = placesOf(ground, places),
    told: Told[] = [];
  const slight = SLIGHT * ground.toleranceMm * areaOf(own);
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

const areaOf = (own: readonly Place[]): number =>
  compensatedSum(
    own.map(({ hands, footMm2 }) => footMm2 * hands.reduce((n, { feet }) => n + feet.length, 0)),
  );

/** Draws so many feet in all and asks about those that are new, near ones after each other. */
async function askUpTo(
  own: readonly Place[],
  told: readonly Told[],
  wanted: number,
  measure: MeasureColumns,
): Promise<Place[]> {
  const drawn = own.map((place) => ({
    ...place,
    hands: place.hands.map((hand, k) =>
      drawUpTo(hand, k, Math.max(LEAST_COLUMNS, place.share * wanted) / HANDS),
    ),
  }));
  const asked = drawn.flatMap(({ hands }, p) =>
    hands.flatMap(({ feet, heights, drawn: some }, k) => {
      const open = [...new Set(some)].filter((i) => Number.isNaN(heights[i]));
      const tell = told[p]?.fits[k];
      return open.map((i) => ({ foot: feet[i], heights, i, foretold: tell?.at(feet[i].traits) ?? NaN }));
    }),
  );
  const order = inPlaceOrder(asked.map(({ foot }) => foot));
  const inOrder = Array.from(order, (i) => asked[i]);
  const found = await measure(
    inOrder.map(({ foot }) => foot.at),
    inOrder.map(({ foretold }) => foretold),
  );
  inOrder.forEach(({ heights, i }, k) => {
    heights[i] = found[k];
  });
  return drawn;
}

/** A hand of which so many feet are drawn. The heights are its own, to be filled in. */
function drawUpTo(hand: Hand, k: number, count: number): Hand {
  const drawn = [...hand.drawn];
  for (let j = drawn.length; j < count; j++) {
    const share = (scrambled(k) + j * GOLDEN) % 1;
    const i = firstWhere(hand.shares.length - 1, (at) => hand.shares[at] > share);
    drawn.push(i);
  }
  return { ...hand, drawn, heights: hand.heights.slice() };
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

function toldBy({ hands, footMm2 }: Place): Told {
  const known = hands.map(({ feet, heights }) =>
    feet.flatMap(({ traits }, i) => (Number.isNaN(heights[i]) ? [] : [{ traits, height: heights[i] }])),
  );
  const fits = hands.map((_, k) => {
    const others = known.flatMap((own, l) => (l === k ? [] : own));
    return localFit(
      others.map(({ traits }) => traits),
      others.map(({ height }) => height),
      SLOPES,
    );
  });
  const sums = hands.map((hand, k) => ({
    more: totalOf(hand, (i) => hand.heights[i] - fits[k].at(hand.feet[i].traits)),
    all: totalOf(hand, (i) => hand.heights[i]),
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
  { feet, weight, drawn }: Hand,
  of: (i: number) => number,
): { total: number; variance: number } {
  const terms = drawn.map((i) => (of(i) * weight) / feet[i].weight),
    total = compensatedSum(terms) / terms.length;
  const squares = compensatedSum(terms.map((term) => (term - total) ** 2));
  return { total, variance: squares / Math.max(1, terms.length - 1) / terms.length };
}

function volumeOf({ hands, footMm2 }: Place, { fits, more }: Told): number {
  const sums = hands.map(
    ({ feet }, k) => compensatedSum(feet.map(({ traits }) => fits[k].at(traits))) + more[k],
  );
  // Of a place in which next to nothing is left, what is taken out may outweigh it.
  return Math.max(0, footMm2 * compensatedSum(sums));
}

/** Feet of the columns that are as high as those of other hands around them, highest first. */
function peaksOf(own: readonly Place[], told: readonly Told[]): Float64Array[] {
  const peaks = own.flatMap(({ hands }, p) =>
    hands.flatMap(({ feet, heights }, k) =>
      feet.flatMap(({ at, traits }, i) =>
        heights[i] > 0 && heights[i] >= told[p].fits[k].mostAround(traits)
          ? [{ height: heights[i], at }]
          : [],
      ),
    ),
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
  return all.map(({ index, faces, areas, weight }) => {
    const feet = feetOn(ground, faces, areas, Math.max(LEAST_FEET, Math.round((FEET * weight) / total)));
    return {
      index,
      footMm2: compensatedSum(areas) / feet.length,
      // Small places are to be told nearly as well as large ones.
      share: Math.sqrt(weight) / roots,
      hands: Array.from({ length: HANDS }, (_, k) => handOf(feet.filter((__, i) => i % HANDS === k))),
    };
  });
}

function handOf(feet: readonly Foot[]): Hand {
  const weight = compensatedSum(feet.map((foot) => foot.weight));
  const shares = Float64Array.from(feet, (foot) => foot.weight / weight);
  for (let i = 1; i < shares.length; i++) shares[i] += shares[i - 1];
  return { feet, weight, shares, heights: new Float64Array(feet.length).fill(NaN), drawn: [] };
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

/** Feet evenly by area in plan, near ones mostly after each other. */
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
      at = pointOn(ground, f, i++).slice();
    return { at, traits: traitsOf(at, fit, ground.radiusMm), weight: weightOf(fit) };
  });
  return Array.from(inPlaceOrder(feet), (foot) => feet[foot]);
}

const inPlaceOrder = (feet: readonly Foot[]): Int32Array =>
  byPlace(Float64Array.from(feet.flatMap(({ at }) => [at[0], at[1], at[2]])), new Int32Array(feet.length));

const traitsOf = ([x, y, z, nx, ny, nz]: Float64Array, fit: number, radiusMm: number): number[] => [
  ALONG * x,
  ALONG * y,
  ALONG * z,
  2 * radiusMm * fit,
  ALONG * radiusMm * nx,
  ALONG * radiusMm * ny,
  ALONG * radiusMm * nz,
];
