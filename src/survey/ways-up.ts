import { boundsOf, longestSide } from '../core/bounds.js';
import { digits } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import type { Cutter } from '../cutter/catalogue.js';
import { blockSides, signed } from '../part/block-sides.js';
import { distinct, flatDirections, isSame, type Direction } from '../part/directions.js';
import { facetNormals, type FacetNormals } from '../part/facet-normals.js';
import type { PreparedMesh } from '../part/prepare.js';
import { SEEN, surfaceSamples, viewFrom, type HeightMap, type SurfaceSamples } from '../part/seen-from.js';
import { buildPartTree, meshFacets } from '../reach/build-part-tree.js';
import { solidProbes } from '../reach/solids.js';
import type { Plan } from '../plan/plan.js';
import { AXIS_VECTORS } from '../options.js';
import type { Setup } from '../resolve-setup.js';
import { isBuried, OFF_SHARE } from '../zones/mark-buried.js';
import { minutesPerMm2 } from './even-minutes.js';
import { finishersOf } from './ladder-candidates.js';

type WaysUp = Plan['waysUp'];
type WayUp = WaysUp['ways'][number];

/** Directions of flat surface that are tried besides the file's axes, at most; each with its opposite. */
const MOST_FLATS = 5;
/** The surface is looked at in about so many points. */
const POINTS = 30_000;
/** Ways up that differ by less of what is to be cut, as a share, count as equal in that. */
const EQUAL_SHARE = 0.002;
/** And by less in stickout, as a share. */
const EQUAL_STICKOUT = 0.02;
/** Another way up, or a second set-up, is worth telling when it cuts this share more. */
const WORTH_SHARE = 0.01;

/**
 * Which way up a part is best cut: a coarse look from each of the file's axes and from where its large flat
 * faces look, and their opposites. What counts is the surface that differs from the block round the part, for
 * on its flat sides nothing is cut but what squares them. More of that is better; of ways that cut as much,
 * the one with less stickout; of those the one that the part lies in. Where the set-up leaves the axis
 * open, the best is taken.
 *
 * @param prepared with the axis of the set-up up, +Z of the file where that is open
 */
export function waysUp(prepared: PreparedMesh, setup: Setup): WaysUp {
  const { mesh, matrix } = prepared;
  const facets = facetNormals(mesh);
  const toPart = (d: Direction): Direction => turn(d, (i, k) => matrix[4 * k + i]);
  const toFile = (d: Direction): Direction => turn(d, (i, k) => matrix[4 * i + k]);
  const axes = [AXIS_VECTORS['+x'], AXIS_VECTORS['+y'], AXIS_VECTORS['+z']].map(toPart);
  const flats = flatDirections(facets, MOST_FLATS);
  const block = blockSides(mesh, facets, unsigned([...axes, ...flats]));
  const isCut = (f: number): boolean => block.isSide[f] === 0;
  const inAll = facets.areas.reduce((sum, area, f) => sum + (isCut(f) ? area : 0), 0);
  const { samples, toCut } = withoutBuried(
    surfaceSamples(mesh, facets, isCut, inAll / POINTS),
    inAll,
    prepared,
    facets,
  );
  const cutter = middleFinisher(setup);
  const isChosen = setup.axis === 'auto',
    lying = setup.axis === 'auto' ? AXIS_VECTORS['+z'] : setup.axis;
  const directions = distinct([toPart(lying), ...signed([...axes, ...flats])]);
  const looked = { mesh, facets, samples, block, setup, cutter };
  const looks = directions.map((up, i) => wayFrom(up, i === 0 ? lying : tidy(toFile(up)), looked));
  const own = looks.map(({ way }) => way);
  const best = looks[bestOf(own, toCut)];
  const order = [best, ...looks.filter((one) => one !== best).sort((a, b) => b.way.cutMm2 - a.way.cutMm2)];
  return {
    toCutMm2: toCut,
    cutterId: cutter.id,
    ways: order.map(({ way }) => way),
    surveyed: isChosen ? 0 : order.indexOf(looks[0]),
    isChosen,
    second: secondSetUp(
      order.map(({ isOpen }) => isOpen),
      samples,
      toCut,
    ),
  };
}

/** What lies inside another solid of the part is not cut: the other points, and what they stand for. */
function withoutBuried(
  samples: SurfaceSamples,
  inAll: number,
  prepared: PreparedMesh,
  { normals }: FacetNormals,
): { readonly samples: SurfaceSamples; readonly toCut: number } {
  const { mesh, shellOf } = prepared;
  const solids = solidProbes(() => buildPartTree(meshFacets(mesh)), prepared);
  if (!solids) return { samples, toCut: inAll };
  const offMm = OFF_SHARE * longestSide(boundsOf(mesh.positions));
  const rows = (from: Float64Array, i: number): number[] => [...from.subarray(3 * i, 3 * i + 3)];
  const isSeen = samples.facetOf.map((f, s) => {
    const by = rows(normals, f).map((x) => offMm * x);
    return isBuried(solids, shellOf[f], rows(samples.points, s), by) ? 0 : 1;
  });
  const areas = samples.areas.filter((_, s) => isSeen[s] === 1);
  return {
    samples: {
      points: samples.points.filter((_, i) => isSeen[Math.floor(i / 3)] === 1),
      facetOf: samples.facetOf.filter((_, s) => isSeen[s] === 1),
      areas,
    },
    toCut: areas.reduce((sum, area) => sum + area, 0),
  };
}

const turn = (d: Direction, entry: (i: number, k: number) => number): Direction => {
  const [x, y, z] = [0, 1, 2].map((i) => entry(i, 0) * d[0] + entry(i, 1) * d[1] + entry(i, 2) * d[2]);
  return [x, y, z];
};

/** Rounding of a turn there and back is taken out of the file's axes. */
const tidy = (d: Direction): Direction =>
  Object.values(AXIS_VECTORS).find((axis) => axis.every((x, k) => Math.abs(x - d[k]) < 1e-9)) ?? d;

/** Directions of which none is another's or its opposite. */
const unsigned = (directions: readonly Direction[]): Direction[] =>
  directions.filter(
    (one, i) =>
      !directions.slice(0, i).some((other) => signed([other]).some((either) => isSame(one, either))),
  );

/** As `--axis` takes it. */
function axisName(axis: Direction): string {
  const word = Object.entries(AXIS_VECTORS).find(([, vector]) => isSame(axis, vector))?.[0];
  return word ?? axis.map((x) => Number(x.toFixed(4)) + 0).join(',');
}

/** Cutters differ from way to way; so that minutes can be compared, all are told for one of middle size. */
function middleFinisher({ cutters }: Setup): Cutter {
  const finishers = finishersOf(cutters);
  return finishers[finishers.length >> 1];
}

interface Looked extends Pick<PreparedMesh, 'mesh'> {
  readonly facets: FacetNormals;
  readonly samples: SurfaceSamples;
  readonly block: ReturnType<typeof blockSides>;
  readonly setup: Setup;
  readonly cutter: Cutter;
}

/** @param axis the direction in the file */
function wayFrom(up: Direction, axis: Direction, looked: Looked) {
  const { sums, isOpen, depthMm } = lookFrom(up, looked);
  const way: WayUp = {
    axis: [axis[0], axis[1], axis[2]],
    name: axisName(axis),
    cutMm2: sums[SEEN.open],
    undercutMm2: sums[SEEN.undercut],
    hiddenMm2: sums[SEEN.hidden],
    stickoutMm: sums[SEEN.open] > 0 ? Math.max(depthMm, looked.cutter.APMX) : null,
    minutes: sums[SEEN.open] * minutesPerMm2(looked.setup, looked.cutter),
  };
  return { way, isOpen };
}

/** What can be cut from a direction: sums by `SEEN`, mm², and how deep it lies below what the holder would touch. */
function lookFrom(up: Direction, { mesh, facets, samples, block, setup }: Looked) {
  const { look, at, map } = viewFrom(mesh, facets, block.frame, up);
  const holderTop = highestNear(map, widestHolderMm(setup) + setup.holderClearanceMm);
  const { points, facetOf, areas } = samples;
  const isOpen = new Uint8Array(areas.length),
    sums = new Float64Array(3);
  let depthMm = 0;
  for (let s = 0; s < areas.length; s++) {
    const seen = look(points, s, facetOf[s]);
    sums[seen] += areas[s];
    if (seen !== SEEN.open) continue;
    isOpen[s] = 1;
    depthMm = Math.max(depthMm, holderTop(at[0], at[1]) - at[2] + setup.holderClearanceMm);
  }
  return { sums, isOpen, depthMm };
}

/** Widest radius of what holds the finishers, mm. */
const widestHolderMm = ({ cutters }: Setup): number =>
  Math.max(
    ...finishersOf(cutters).flatMap(({ DMM, holder }) => [
      DMM / 2,
      ...holder.map(({ diameterMm, topDiameterMm }) => Math.max(diameterMm, topDiameterMm) / 2),
    ]),
  );

/** Height of the part within a radius about a point in plan: never too low, but of up to twice the radius. */
function highestNear({ min, pixelMm, width, depth, tops }: HeightMap, radiusMm: number) {
  const side = Math.max(1, Math.ceil(radiusMm / pixelMm));
  const across = Math.ceil(width / side),
    along = Math.ceil(depth / side);
  const cells = new Float64Array(across * along).fill(-Infinity);
  tops.forEach((top, i) => {
    const cell = Math.floor(Math.floor(i / width) / side) * across + Math.floor((i % width) / side);
    if (top > cells[cell]) cells[cell] = top;
  });
  const near = cells.map((_, cell) => {
    const u = cell % across,
      v = Math.floor(cell / across);
    let most = -Infinity;
    for (let j = Math.max(0, v - 1); j <= Math.min(along - 1, v + 1); j++)
      for (let i = Math.max(0, u - 1); i <= Math.min(across - 1, u + 1); i++)
        most = Math.max(most, cells[j * across + i]);
    return most;
  });
  const index = (value: number, low: number, count: number): number =>
    Math.min(count - 1, Math.max(0, Math.floor((value - low) / pixelMm / side)));
  return (x: number, y: number): number => near[index(y, min[1], along) * across + index(x, min[0], across)];
}

/** Index of the best; the way that the part lies in comes first in the list. */
function bestOf(ways: readonly WayUp[], toCut: number): number {
  const most = Math.max(...ways.map(({ cutMm2 }) => cutMm2));
  const isEqual = ({ cutMm2 }: WayUp): boolean => cutMm2 >= most - EQUAL_SHARE * toCut;
  const reach = (way: WayUp): number => way.stickoutMm ?? 0;
  const least = Math.min(...ways.filter(isEqual).map(reach));
  return ways.findIndex((way) => isEqual(way) && reach(way) <= (1 + EQUAL_STICKOUT) * least);
}

/** The way that adds most to the first, and what neither reaches; null where none adds what is worth a set-up. */
function secondSetUp(
  open: readonly Uint8Array[],
  { areas }: SurfaceSamples,
  toCut: number,
): WaysUp['second'] {
  const together = open.map((own) =>
    areas.reduce((sum, area, s) => sum + (own[s] === 1 || open[0][s] === 1 ? area : 0), 0),
  );
  const most = Math.max(...together);
  if (most <= together[0] + WORTH_SHARE * toCut) return null;
  return { way: together.indexOf(most), togetherMm2: most, neitherMm2: Math.max(0, toCut - most) };
}

/** Says so where another way up would make more, and which was taken where that was left open. */
export function wayUpFindings({ ways, surveyed, isChosen, toCutMm2 }: WaysUp): Finding[] {
  const [best] = ways,
    own = ways[surveyed];
  const cut = ({ name, cutMm2 }: WayUp): string => `${name} ${digits(cutMm2)} mm²`;
  const of = `of the ${digits(toCutMm2)} mm² that differ from the block`;
  if (isChosen) {
    const next = ways.slice(1, 3).map(cut).join(', ');
    const message = `Of the file's ways up ${best.name} is taken: there ${digits(best.cutMm2)} ${of} can be cut (${next}).`;
    return [finding('setup.axis-auto', 'info', message)];
  }
  if (best.cutMm2 <= own.cutMm2 + WORTH_SHARE * toCutMm2) return [];
  return [
    finding(
      'setup.way-up',
      'warning',
      `Another way up makes more: with ${best.name} of the file up ${digits(best.cutMm2)} ${of} can be cut, with ` +
        `${own.name}, as surveyed, ${digits(own.cutMm2)} mm². Take --axis=${best.name}, or --axis auto.`,
    ),
  ];
}
