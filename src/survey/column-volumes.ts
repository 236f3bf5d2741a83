import { listsByKey } from '../core/lists.js';
import { compensatedSum } from '../core/sum.js';
import { doubleArea } from '../part/facet-geometry.js';
import type { SmoothPart } from '../part/sagittas.js';
import type { Mesh, Surface } from '../part/types.js';
import { evenlyBySize, pointOn, pointShares } from './facet-samples.js';

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
  /** no more columns than these, but for those that places begin with */
  readonly mostColumns: number;
}

export interface ColumnVolumes {
  /** mm³, of each place */
  readonly volumesMm3: readonly number[];
  /** the feet of the highest column of each box, highest first: (6) position and unit normal */
  readonly highest: readonly Float64Array[];
}

/** How high columns are, mm. @param feet (6) each, position on the true surface and unit normal there */
export type MeasureColumns = (feet: readonly Float64Array[]) => Promise<ArrayLike<number>>;

/** Feet to choose from, over all places, and of one place at least: they cost next to nothing until asked about. */
const FEET = 16_384,
  LEAST_FEET = 64;
/** Feet near and alike are boxed together: so many boxes at first, and in one place at least. */
const BOXES = 512,
  LEAST_BOXES = 4;
/** Columns asked in a box: the fewest whose difference tells how far their mean may be off. */
const IN_BOX = 2;
/**
 * Standard error of the whole volume that is enough: this share of it, or as much as this share of the tolerance makes
 * over all of the ground.
 */
const ENOUGH = 0.005,
  SLIGHT = 0.015;
/** Boxes to either side whose columns tell how much those of one differ. */
const AROUND = 2;
/** Weight of a foot around which columns do not differ, as a share of the mean difference. */
const LEAST_SPREAD = 0.5;
/** Feet that tell where to halve a box. */
const TO_TELL = 128;
/** Weight of a foot where the cutter nearly fits, against one where it does not at all. */
const LEAST_WEIGHT = 0.15;

interface Foot {
  /** (6) position on the true surface and unit normal there */
  readonly at: Float64Array;
  /** what feet are told apart by, mm: x, y, z and how much of the cutter fits, in diameters */
  readonly traits: readonly number[];
  readonly weight: number;
}

interface Column {
  readonly foot: Foot;
  readonly heightMm: number;
}

/** Feet that are alike, each for the same share of the plan. */
interface Box {
  readonly place: number;
  readonly feet: readonly Foot[];
  readonly areaMm2: number;
  readonly columns: readonly Column[];
}

/**
 * Volume of the columns over a ground, place by place.
 *
 * Many feet are spread evenly by area in plan and boxed by where they lie and how much of the cutter fits there; a few
 * columns are asked in every box (double sampling for stratification: W. G. Cochran, Sampling Techniques, chapters 5
 * and 12, from memory). Where that leaves too much error, they tell where columns differ, new boxes are made of feet
 * weighed by that, and all of these are halved until the error is small. The first columns are not counted again, and
 * no box is halved for what its own columns show: where they missed a narrow slot nothing would call for more, and it
 * would stay out. That made slots 2 to 10 % too small.
 */
export async function columnVolumes(
  ground: ColumnGround,
  places: number,
  measure: MeasureColumns,
): Promise<ColumnVolumes> {
  let boxes = await fill(boxesOf(ground, places), measure);
  const slight = SLIGHT * ground.toleranceMm * areaOf(boxes);
  const isEnough = (): boolean =>
    compensatedSum(boxes.map(variance)) <= Math.max(slight, ENOUGH * volumeOf(boxes)) ** 2;
  if (!isEnough()) boxes = await fill(boxesByPlace(weighedBySpread(boxes, places)), measure);
  while (!isEnough() && 2 * IN_BOX * boxes.length <= ground.mostColumns) {
    const smaller = boxes.flatMap((box) => halves(box, 2));
    boxes = await fill(smaller, measure);
  }
  const volumesMm3 = new Array<number>(places).fill(0);
  for (const box of boxes) volumesMm3[box.place] += volumeOf([box]);
  const highest = boxes.flatMap(({ columns }) => highestOf(columns) ?? []);
  highest.sort((a, b) => b.heightMm - a.heightMm);
  return { volumesMm3, highest: highest.map(({ foot }) => foot.at) };
}

/** Asks about more columns in boxes that hold too few. */
async function fill(boxes: readonly Box[], measure: MeasureColumns): Promise<Box[]> {
  const chosen = boxes.map(nextFeet);
  const heights = await measure(chosen.flatMap((feet) => feet.map(({ at }) => at)));
  let next = 0;
  return boxes.map((box, b) => ({
    ...box,
    columns: [...box.columns, ...chosen[b].map((foot) => ({ foot, heightMm: heights[next++] }))],
  }));
}

/** Feet of a box to be asked about, any as likely as another. */
function nextFeet({ feet, columns }: Box, b: number): Foot[] {
  const known = new Set(columns.map(({ foot }) => foot));
  const open = feet.filter((foot) => !known.has(foot));
  const wanted = Math.max(0, Math.min(IN_BOX - columns.length, open.length));
  return Array.from({ length: wanted }, (_, i) => {
    const share = (((b * GOLDEN) % 1) + i) / wanted;
    return open[Math.floor(share * open.length)];
  });
}

/** Multiples of the golden section are spread evenly over 0 .. 1. */
const GOLDEN = 0.6180339887498949;

const highestOf = (columns: readonly Column[]): Column | undefined =>
  columns.reduce<Column | undefined>(
    (highest, one) => (one.heightMm > (highest?.heightMm ?? 0) ? one : highest),
    undefined,
  );

/** So many boxes of about the same weight each in place of one: halved again and again where it is longest. */
function halves(box: Box, count: number): Box[] {
  if (count <= 1) return [box];
  const ranges = box.feet[0].traits.map((_, k) => rangeOf(box.feet, k)),
    lengths = ranges.map(([least, most]) => most - least);
  const trait = lengths.indexOf(Math.max(...lengths)),
    [least, most] = ranges[trait],
    first = count >> 1;
  const even = quantile(box.feet, trait, first / count);
  // Many feet may share the least value.
  const limit = even > least ? even : 0.5 * (least + most);
  const pieces = [true, false].map((isFirst) =>
    pieceOf(box, (foot) => foot.traits[trait] < limit === isFirst),
  );
  if (pieces.some(({ feet }) => feet.length < IN_BOX)) return [box];
  return [...halves(pieces[0], first), ...halves(pieces[1], count - first)];
}

/** About where a trait parts the weight of some feet: a share of it below, the rest not. */
function quantile(feet: readonly Foot[], trait: number, share: number): number {
  const step = Math.max(1, Math.floor(feet.length / TO_TELL));
  const some = feet.filter((_, i) => i % step === 0).sort((a, b) => a.traits[trait] - b.traits[trait]);
  let left = share * compensatedSum(some.map(({ weight }) => weight)),
    i = 0;
  while (left > some[i].weight && i < some.length - 1) left -= some[i++].weight;
  return some[i].traits[trait];
}

function pieceOf({ place, feet, areaMm2, columns }: Box, isOwn: (foot: Foot) => boolean): Box {
  const own = feet.filter(isOwn);
  return {
    place,
    feet: own,
    areaMm2: (areaMm2 * own.length) / feet.length,
    columns: columns.filter(({ foot }) => isOwn(foot)),
  };
}

function rangeOf(feet: readonly Foot[], trait: number): readonly [least: number, most: number] {
  let least = Infinity,
    most = -Infinity;
  for (const { traits } of feet) {
    least = Math.min(least, traits[trait]);
    most = Math.max(most, traits[trait]);
  }
  return [least, most];
}

const mean = (columns: readonly Column[]): number =>
  columns.reduce((sum, { heightMm }) => sum + heightMm, 0) / Math.max(1, columns.length);
const areaOf = (boxes: readonly Box[]): number => compensatedSum(boxes.map(({ areaMm2 }) => areaMm2));
const volumeOf = (boxes: readonly Box[]): number =>
  compensatedSum(boxes.map(({ areaMm2, columns }) => areaMm2 * mean(columns)));

/** Standard deviation. */
function spread(columns: readonly Column[]): number {
  const middle = mean(columns);
  const squares = columns.reduce((sum, { heightMm }) => sum + (heightMm - middle) ** 2, 0);
  return Math.sqrt(squares / Math.max(1, columns.length - 1));
}
/** Of a box's volume, as its columns tell. */
const variance = ({ areaMm2, columns }: Box): number =>
  (areaMm2 * spread(columns)) ** 2 / Math.max(1, columns.length);

/** Boxes that are to begin with: of feet that weigh more where less of the cutter fits. */
function boxesOf(ground: ColumnGround, places: number): Box[] {
  const byPlace = grouped([...ground.faces], ground.placeOf, places);
  const { mesh } = ground.surface;
  const areas = byPlace.map((faces) => faces.map((f) => planArea(mesh, f)));
  const weights = byPlace.map((faces, p) =>
    compensatedSum(faces.map((f, k) => areas[p][k] * weightOf(fitOf(ground, f, MIDDLE)))),
  );
  const total = compensatedSum(weights);
  return boxesByPlace(
    byPlace.flatMap((faces, place): Box[] => {
      if (faces.length === 0) return [];
      const count = Math.max(LEAST_FEET, Math.round((FEET * weights[place]) / total));
      const feet = feetOn(ground, faces, areas[place], count);
      return [{ place, feet, areaMm2: compensatedSum(areas[place]), columns: [] }];
    }),
  );
}

/** Items by place, in their order. */
function grouped<T>(all: readonly T[], placeOf: (item: T) => number, places: number): T[][] {
  const { start, items } = listsByKey(all.map(placeOf), places);
  return Array.from({ length: places }, (_, p) =>
    Array.from(items.subarray(start[p], start[p + 1]), (i) => all[i]),
  );
}

/** Boxes of about the same weight each in one place, small places' less than large ones'. @param places one box each */
function boxesByPlace(places: readonly Box[]): Box[] {
  const weights = places.map(({ feet, areaMm2 }) =>
    Math.sqrt((areaMm2 / feet.length) * compensatedSum(feet.map(({ weight }) => weight))),
  );
  const total = compensatedSum(weights);
  return places.flatMap((whole, p) =>
    halves(whole, Math.max(LEAST_BOXES, Math.round((BOXES * weights[p]) / total))),
  );
}

/** One box for each place, its feet weighed by how much columns differ around. */
function weighedBySpread(boxes: readonly Box[], places: number): Box[] {
  const byPlace = grouped(boxes, ({ place }) => place, places);
  // Boxes lie in the list as they do in space.
  const spreads = byPlace.map((own) =>
    own.map((_, i) =>
      spread(own.slice(Math.max(0, i - AROUND), i + AROUND + 1).flatMap(({ columns }) => columns)),
    ),
  );
  const sum = compensatedSum(byPlace.flatMap((own, p) => own.map((box, i) => box.areaMm2 * spreads[p][i])));
  const least = (LEAST_SPREAD * sum) / areaOf(boxes);
  return byPlace.flatMap((own, place): Box[] => {
    if (own.length === 0) return [];
    const feet = own.flatMap((box, i) =>
      box.feet.map((foot) => ({ ...foot, weight: spreads[place][i] + least })),
    );
    return [{ place, feet, areaMm2: areaOf(own), columns: [] }];
  });
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

/** Feet evenly by area in plan. */
function feetOn(
  ground: ColumnGround,
  faces: readonly number[],
  areas: readonly number[],
  count: number,
): Foot[] {
  let i = 0;
  return Array.from(evenlyBySize(areas, count), (k): Foot => {
    const f = faces[k],
      fit = fitOf(ground, f, pointShares(i)),
      at = pointOn(ground, f, i++).slice();
    return { at, traits: [at[0], at[1], at[2], 2 * ground.radiusMm * fit], weight: weightOf(fit) };
  });
}
