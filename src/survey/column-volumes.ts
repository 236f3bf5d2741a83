import { concatenated } from '../core/concatenated.js';
import { listsByKey } from '../core/lists.js';
import { mapTo } from '../core/map-to.js';
import { rowsOf } from '../core/rows-of.js';
import { compensatedSum } from '../core/sum.js';
import {
  drawColumns,
  evenStretches,
  FOOT,
  inPlaceOrder,
  lengthOf,
  partStretches,
  stripOf,
  TRAITS,
  weightOfStrip,
  type ColumnGround,
  type Drawn,
  type Stretches,
  type Strip,
} from './column-feet.js';
import { localFit, type LocalFit } from './local-fit.js';

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

/** Stretches over all places at first and in the end, and of one place at least. */
const STRETCHES = 2048,
  MOST_STRETCHES = 16_384,
  LEAST_STRETCHES = 64;
/** What is foretold may change over stretches by so much of the error that is enough, all alike. */
const WITHIN_STRETCHES = 0.35;
/** One is parted into so many at a time; where that makes too many in all, each counts for so much less. */
const MOST_PARTS = 8,
  COARSER = 1.5;
/** Columns asked at first over all places, and in one place at least. */
const FIRST = 256,
  LEAST_COLUMNS = 8;
/** No more columns than these, but for those that places begin with; of several places each, over the root of their number. */
const MOST_COLUMNS = 6000;
/**
 * Standard error that is enough: these shares of the whole volume and of each place's, or as much as this share of the
 * tolerance makes over its ground.
 */
const ENOUGH = 0.007,
  ENOUGH_OF_PLACE = 0.01,
  SLIGHT = 0.015;
/** What a place holds less than this share of the whole makes it tell the less exactly, by the root of its own. */
const SMALL_SHARE = 0.02;
/** The error falls faster than by the root of the number of columns, as they foretell each other better. */
const FALL = 0.7;
/** Columns are asked for in so many times more, at most and at least. */
const MOST_MORE = 2,
  LEAST_MORE = 1.5;
/**
 * The more there was to go by the less a round's columns differ from what is foretold, and the better they stand where
 * it counts: their variance falls about by this power. A first round counts next to nothing once there are others.
 */
const LEARNT = 1.5,
  LEAST_WEIGHT = 1e-6;
/** There is a second round however little the first is off. */
const LEAST_EXCESS = 1.5;
/** Of those asked for once more so many are where those known differ. */
const WHERE_UNLIKE = 0.5;

interface Place {
  readonly index: number;
  readonly strip: Strip;
  /** share of all columns */
  readonly share: number;
  readonly stretches: Stretches;
  readonly columns: Columns;
  /** of each round, one by one */
  readonly rounds: readonly Round[];
}

/** Columns that were asked about. */
interface Columns {
  /** see `Stretches` */
  readonly at: Float64Array;
  readonly traits: Float64Array;
  /** (N) mm */
  readonly heights: Float64Array;
}

/** What a round of columns says of a place. */
interface Round {
  readonly volumeMm3: number;
  readonly variance: number;
  readonly weight: number;
}

/**
 * Volume of the columns over a ground, place by place.
 *
 * Columns are asked about in rounds. What those before tell of all of the ground, from places near and alike
 * (`localFit`), is right but for what the columns of the round are more or less than that, on the mean, each counted by
 * its chance to be drawn: a difference estimator (W. G. Cochran, Sampling Techniques, chapters 7 and 9A, from memory)
 * without bias, since none of the round had a part in the telling. The ground is cut into stretches, closer where
 * columns differ, and half of a round stands there; the other half stands everywhere, so that slots that those before
 * missed come out. Each place is drawn anew: were columns to stand where one stood before, or a round be held against
 * what it led to, what is found by chance would soon be told, and what is found nowhere stay out: 1 to 10 % too little.
 */
export async function columnVolumes(
  ground: ColumnGround,
  places: number,
  measure: MeasureColumns,
): Promise<ColumnVolumes> {
  let own = placesOf(ground, places),
    enough = Infinity;
  const slights = own.map(({ strip }) => SLIGHT * ground.toleranceMm * lengthOf(strip)),
    slight = compensatedSum(slights);
  let wanted = own.map(({ share }) => Math.max(LEAST_COLUMNS, Math.ceil(share * FIRST)));
  while (own.some((place, p) => wanted[p] > countOf(place))) {
    own = await nextRound(ground, own, wanted, enough, measure);
    const means = own.map(({ rounds }) => overRounds(rounds));
    const whole = sumOf(means, ({ volumeMm3 }) => volumeMm3);
    enough = Math.max(slight, ENOUGH * whole);
    // All places are told well enough together where each is off by its even share.
    const isRough = sumOf(means, ({ variance }) => variance) > enough ** 2,
      share = enough / Math.sqrt(own.length);
    const excess = own.map(({ rounds }, p) => {
      // Before the second round nothing is foretold.
      if (rounds.length < 2) return LEAST_EXCESS;
      const { volumeMm3, variance } = means[p],
        counts = Math.sqrt(Math.max(0, volumeMm3) * Math.max(volumeMm3, SMALL_SHARE * whole)),
        limit = Math.max(slights[p], ENOUGH_OF_PLACE * counts);
      return Math.sqrt(variance) / (isRough ? Math.min(share, limit) : limit);
    });
    wanted = wantedOf(own, excess);
  }
  const volumesMm3 = new Array<number>(places).fill(0);
  // Of a place in which next to nothing is left, what is taken out may outweigh it.
  for (const { index, rounds } of own) volumesMm3[index] = Math.max(0, overRounds(rounds).volumeMm3);
  return { volumesMm3, highest: peaksOf(own) };
}

const sumOf = <T>(items: readonly T[], of: (item: T) => number): number => compensatedSum(items.map(of));

const countOf = ({ columns }: Place): number => columns.heights.length;

/** How many columns places should have, those that are told well enough what they have, within the most in all. */
function wantedOf(own: readonly Place[], excess: readonly number[]): number[] {
  const most = MOST_COLUMNS / Math.sqrt(own.length);
  const more = own.map((place, p) => {
    const count = countOf(place);
    return excess[p] > 1 ? Math.max(0, Math.min(most - count, (moreFor(excess[p]) - 1) * count)) : 0;
  });
  const room = Math.max(0, MOST_COLUMNS - sumOf(own, countOf)),
    part = Math.min(1, room / compensatedSum(more));
  return own.map((place, p) => countOf(place) + (more[p] > 0 ? Math.ceil(part * more[p]) : 0));
}

/** How many times as many columns bring the error down by so much. */
const moreFor = (excess: number): number => Math.min(MOST_MORE, Math.max(LEAST_MORE, excess ** (1 / FALL)));

/** All rounds' answers in one. */
function overRounds(rounds: readonly Round[]): Round {
  const weight = sumOf(rounds, (round) => round.weight);
  return {
    volumeMm3: sumOf(rounds, (round) => round.weight * round.volumeMm3) / weight,
    variance: sumOf(rounds, (round) => round.weight ** 2 * round.variance) / weight ** 2,
    weight,
  };
}

/** Asks about columns of the places that are to have more, near ones after each other. @param wanted columns of each */
async function nextRound(
  ground: ColumnGround,
  all: readonly Place[],
  wanted: readonly number[],
  enough: number,
  measure: MeasureColumns,
): Promise<Place[]> {
  const places = [...all.keys()].filter((p) => wanted[p] > countOf(all[p])),
    own = places.map((p) => all[p]);
  const fits = own.map(({ columns: { traits, heights } }) =>
    heights.length > 0 ? localFit(traits, TRAITS, heights) : null,
  );
  const seen = own.map((place, p) => foretell(place, fits[p]));
  const told = closerStretches(ground, seen, enough)?.map((place, p) => foretell(place, fits[p])) ?? seen;
  const drawn = told.map((place, p) => drawUpTo(ground, place, wanted[places[p]]));
  const at = concatenated(
    Float64Array,
    drawn.map((some) => some.at),
  );
  const foretold = concatenated(
    Float64Array,
    drawn.map(({ traits, shares }, p) => shares.map((_, i) => fits[p]?.at(traits, i) ?? NaN)),
  );
  const order = inPlaceOrder(at);
  const found = await measure(rowsOf(at, order, FOOT), rowsOf(foretold, order, 1));
  const heights = new Float64Array(order.length);
  order.forEach((n, i) => {
    heights[n] = found[i];
  });
  const after = [...all];
  let next = 0;
  told.forEach((place, p) => {
    const { shares, ...feet } = drawn[p];
    const own = heights.slice(next, next + shares.length);
    const more = meanOf(shares.map((share, i) => share * (own[i] - (foretold[next + i] || 0))));
    next += shares.length;
    const round = {
      volumeMm3: place.foretoldMm3 + more.mean,
      variance: more.variance,
      weight: shares.length * Math.max(countOf(place), LEAST_WEIGHT) ** LEARNT,
    };
    after[places[p]] = {
      ...place,
      columns: joined(place.columns, { ...feet, heights: own }),
      rounds: [...place.rounds, round],
    };
  });
  return after;
}

interface ForetoldPlace extends Place {
  readonly foretoldMm3: number;
  /** (N) by how much what is foretold changes over each stretch, mm³ */
  readonly changes: Float64Array;
}

/** What the columns of a place tell of all of its stretches. */
function foretell(place: Place, fit: LocalFit | null): ForetoldPlace {
  const { areas, traits } = place.stretches;
  const unlike = new Float64Array(areas.length).fill(NaN);
  const heights = areas.map((_, i) => {
    if (!fit) return 0;
    const height = fit.at(traits, i);
    unlike[i] = fit.spread();
    return height;
  });
  const steps = new Float64Array(areas.length);
  for (let i = 1; i < areas.length; i++) {
    const step = Math.abs(heights[i] - heights[i - 1]);
    for (const j of [i - 1, i]) steps[j] = Math.max(steps[j], step);
  }
  return {
    ...place,
    stretches: {
      ...place.stretches,
      // What a stretch and the next are foretold may differ where columns about either do not.
      unlike: unlike.map((height, i) => areas[i] * Math.max(height, steps[i])),
    },
    changes: steps.map((step, i) => areas[i] * step),
    foretoldMm3: compensatedSum(heights.map((height, i) => areas[i] * height)),
  };
}

/** Parts stretches over which what is foretold changes by more than the error allows; null: none do. */
function closerStretches(
  ground: ColumnGround,
  own: readonly ForetoldPlace[],
  enough: number,
): Place[] | null {
  // Even over a stretch is a twelfth of the square.
  const most = WITHIN_STRETCHES * enough * Math.sqrt(12);
  const all = concatenated(
    Float64Array,
    own.map(({ changes }) => changes),
  );
  if (!(Math.sqrt(compensatedSum(all.map((volume) => volume * volume))) > most)) return null;
  const limit = Math.max(all.length, MOST_STRETCHES);
  let parts: Int32Array[] = [],
    count = Infinity;
  for (let each = most / Math.sqrt(all.length); count > limit; each *= COARSER) {
    parts = own.map(({ changes }) =>
      mapTo(new Int32Array(changes.length), changes, (volume) =>
        Math.min(MOST_PARTS, Math.max(1, Math.ceil(volume / each))),
      ),
    );
    count = sumOf(parts, (some) => compensatedSum(some));
  }
  return own.map((place, p) => ({
    ...place,
    stretches: partStretches(ground, place.strip, place.stretches, parts[p]),
  }));
}

/** Places of columns beside those that there are, so that there are so many. */
function drawUpTo(ground: ColumnGround, { strip, stretches, columns }: Place, count: number): Drawn {
  const { weights, unlike } = stretches;
  const total = compensatedSum(weights),
    most = compensatedSum(unlike);
  const mixed = weights.map((weight, i) =>
    most > 0 ? ((1 - WHERE_UNLIKE) * weight) / total + (WHERE_UNLIKE * unlike[i]) / most : weight,
  );
  const before = columns.heights.length;
  return drawColumns(ground, strip, stretches, mixed, count - before, before);
}

const joined = (one: Columns, other: Columns): Columns => ({
  at: concatenated(Float64Array, [one.at, other.at]),
  traits: concatenated(Float64Array, [one.traits, other.traits]),
  heights: concatenated(Float64Array, [one.heights, other.heights]),
});

/** Mean of some terms, and the variance of that mean. */
function meanOf(terms: Float64Array): { readonly mean: number; readonly variance: number } {
  const mean = compensatedSum(terms) / terms.length;
  const squares = compensatedSum(terms.map((term) => (term - mean) ** 2));
  return { mean, variance: squares / Math.max(1, terms.length - 1) / terms.length };
}

/** Feet of the columns that are as high as those around them, highest first. */
function peaksOf(own: readonly Place[]): Float64Array[] {
  const peaks = own.flatMap(({ columns: { at, heights, traits } }) => {
    const fit = localFit(traits, TRAITS, heights);
    return Array.from(heights.keys())
      .filter((i) => heights[i] > 0 && heights[i] >= fit.mostAround(traits, i))
      .map((i) => ({ height: heights[i], at: at.slice(FOOT * i, FOOT * (i + 1)) }));
  });
  return peaks.sort((a, b) => b.height - a.height).map(({ at }) => at);
}

function placesOf(ground: ColumnGround, places: number): Place[] {
  const placeOf = mapTo(new Int32Array(ground.faces.length), ground.faces, ground.placeOf);
  const { start, items } = listsByKey(placeOf, places);
  const all = Array.from({ length: places }, (_, index) => {
    const faces = Int32Array.from(items.subarray(start[index], start[index + 1]), (i) => ground.faces[i]);
    const strip = stripOf(ground, faces);
    return { index, strip, weight: weightOfStrip(ground, strip) };
  }).filter(({ strip }) => strip.faces.length > 0);
  const total = sumOf(all, ({ weight }) => weight),
    roots = sumOf(all, ({ weight }) => Math.sqrt(weight));
  return all.map(({ index, strip, weight }) => ({
    index,
    strip,
    // Small places are to be told nearly as well as large ones.
    share: Math.sqrt(weight) / roots,
    stretches: evenStretches(
      ground,
      strip,
      Math.max(LEAST_STRETCHES, Math.round((STRETCHES * weight) / total)),
    ),
    columns: { at: new Float64Array(0), traits: new Float64Array(0), heights: new Float64Array(0) },
    rounds: [],
  }));
}
