import { MACHINABLE_CLASSES } from '../core/classes.js';
import { digits } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import { sideBySide } from '../core/side-by-side.js';
import { compensatedSum } from '../core/sum.js';
import { ballProfile } from '../cutter/cutter-profile.js';
import { chordErrors } from '../part/chord-errors.js';
import { facetCentre } from '../part/facet-geometry.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { POINT_STRIDE } from '../reach/reach-kernels.js';
import type { ReachCounts } from '../reach/unreached-area.js';
import { AT_ONCE } from './rest-volumes.js';
import { evenlyBySize, evenShares, facetsByPlace, pointAt } from './facet-samples.js';

export interface ChordInput {
  /** the surface on which reach was found, its radii with the allowance */
  readonly reach: ReachCounts;
  /** (F) mm² */
  readonly areas: Float64Array;
  /** in the order of the radii; `share` (F) of each facet that is not reached */
  readonly byRadius: readonly {
    readonly radiusMm: number;
    readonly unreachedAreaMm2: number;
    readonly share: Float64Array;
  }[];
  readonly engine: ReachAnswers;
  readonly toleranceMm: number;
}

/**
 * Points asked per radius on what it does not reach, and on what it reaches, of which fewer come near its limit. Areas
 * in doubt are good to some per cent by them.
 */
const LEFT_POINTS = 200,
  REACHED_POINTS = 400;
/**
 * Where the largest ball that reaches is larger or smaller by so many times the greatest chord error, nothing is in
 * doubt: at the middle of a fillet between planes that turn by φ, gaps grow 1 / cos(φ / 2) - 1 times as fast as the
 * radius, an eighth for 55 degrees.
 */
const FAR = 8;

/** Facets of the machinable surface whose chords miss the true surface by more than the tolerance. */
interface CoarseFacets {
  /** of the refined surface */
  readonly faces: readonly number[];
  /** (facets of the part) mm */
  readonly errors: Float64Array;
  /** facet of the part with the greatest */
  readonly worst: number;
}

/** What one radius leaves if the true surface lies anywhere between the chords and twice as far from them. */
interface Spread {
  readonly radiusMm: number;
  readonly readMm2: number;
  readonly lowMm2: number;
  readonly highMm2: number;
}

/**
 * Says, where chords miss the true surface by more than the tolerance, by how much, where, and what the unreached
 * area of the radius that it matters most to may be instead. Nothing for a mesh finer than that; then nothing is
 * asked, either.
 */
export async function chordFindings(input: ChordInput, signal?: AbortSignal): Promise<Finding[]> {
  const coarse = coarseFacets(input);
  if (coarse.faces.length === 0) return [];
  const spreads = await sideBySide([...input.byRadius.keys()], AT_ONCE, (index) =>
    spreadOf(index, coarse, input, signal),
  );
  const { reach, areas, toleranceMm } = input;
  const { faces, errors, worst } = coarse;
  return [
    finding(
      'reach.chord-error',
      'warning',
      `Chords of the mesh miss the true surface by up to ${digits(errors[worst], 2)} mm, more than the tolerance of ` +
        `${toleranceMm} mm, on ${digits(compensatedSum(faces.map((f) => areas[f])))} mm² of the machinable surface; with anything from none to twice ` +
        `the curvature assumed there, ${spreadWords(spreads)}: export with a chord tolerance of ${toleranceMm} mm or less.`,
      new Set(faces.map((f) => reach.surface.parent[f])).size,
      facetCentre(reach.part.mesh, worst),
    ),
  ];
}

function spreadWords(spreads: readonly Spread[]): string {
  const width = ({ lowMm2, highMm2 }: Spread): number => highMm2 - lowMm2;
  // What does not show in the figures as they are written is no range.
  const changed = spreads
    .filter(({ lowMm2, highMm2 }) => digits(lowMm2) !== digits(highMm2))
    .sort((a, b) => width(b) - width(a));
  if (changed.length === 0) return 'no surveyed ball would leave more or less, to three digits';
  const [{ radiusMm, readMm2, lowMm2, highMm2 }, ...others] = changed;
  return (
    `a ball of R ${radiusMm} would leave ${digits(lowMm2)} to ${digits(highMm2)} mm² unreached ` +
    `(${digits(readMm2)} as surveyed${others.length > 0 ? '; other radii are less in doubt' : ''})`
  );
}

function coarseFacets({ reach, toleranceMm }: ChordInput): CoarseFacets {
  const { surface, labels, part } = reach;
  const errors = chordErrors(part);
  const isCoarse = (f: number): boolean =>
    labels[f] < MACHINABLE_CLASSES && errors[surface.parent[f]] > toleranceMm;
  const faces = labels.some((_, f) => isCoarse(f)) ? [...facetsByPlace(surface.mesh, isCoarse)] : [];
  const worst = faces
    .map((f) => surface.parent[f])
    .reduce((most, own) => (errors[own] > errors[most] ? own : most), surface.parent[faces[0] ?? 0]);
  return { faces, errors, worst };
}

async function spreadOf(
  index: number,
  { faces, errors, worst }: CoarseFacets,
  { reach, areas, byRadius, engine, toleranceMm }: ChordInput,
  signal: AbortSignal | undefined,
): Promise<Spread> {
  const { radiusMm, unreachedAreaMm2, share } = byRadius[index];
  const radius = reach.radii[index],
    farMm = FAR * errors[worst];
  const near = faces.filter((f) => mayFail(reach, f, radius + farMm));
  const left = drawPoints(LEFT_POINTS, faces, (f) => share[f] * areas[f], reach, errors),
    reached = drawPoints(REACHED_POINTS, near, (f) => (1 - share[f]) * areas[f], reach, errors);
  const asked = { radius, farMm, toleranceMm, engine };
  return {
    radiusMm,
    readMm2: unreachedAreaMm2,
    lowMm2: unreachedAreaMm2 - left.totalMm2 * (await inDoubt({ ...asked, ...left, isLeft: true }, signal)),
    highMm2:
      unreachedAreaMm2 + reached.totalMm2 * (await inDoubt({ ...asked, ...reached, isLeft: false }, signal)),
  };
}

/** Whether anything of a facet may not be reached by a ball of this radius, as far as is known. */
function mayFail({ surface: { mesh }, reachRadii, radii }: ReachCounts, f: number, radius: number): boolean {
  const [a, b, c] = mesh.triangles.subarray(3 * f, 3 * f + 3);
  const most = radii[radii.length - 1];
  return Math.min(most, reachRadii[a], reachRadii[b], reachRadii[c]) < radius;
}

interface DrawnPoints {
  /** (6 N) see `POINT_STRIDE` */
  readonly items: Float64Array;
  /** (N) chord error of the facet of each, mm */
  readonly errors: Float64Array;
  /** mm², of which they are even samples */
  readonly totalMm2: number;
}

/** Points of the true surface, even over the areas that are given for facets; none where these are 0. */
function drawPoints(
  most: number,
  faces: readonly number[],
  areaOf: (f: number) => number,
  reach: ReachCounts,
  errors: Float64Array,
): DrawnPoints {
  const sizes = faces.map(areaOf),
    totalMm2 = compensatedSum(sizes);
  const count = totalMm2 > 0 ? most : 0;
  const items = new Float64Array(POINT_STRIDE * count),
    ofPoints = new Float64Array(count);
  let i = 0;
  for (const k of evenlyBySize(sizes, count)) {
    items.set(pointAt(reach, faces[k], evenShares(i)), POINT_STRIDE * i);
    ofPoints[i++] = errors[reach.surface.parent[faces[k]]];
  }
  return { items, errors: ofPoints, totalMm2 };
}

interface Doubt extends DrawnPoints {
  /** of the ball, mm */
  readonly radius: number;
  /** beyond, as a difference of radii, nothing is in doubt, mm */
  readonly farMm: number;
  /** whether it is asked of what the ball leaves, or of what it reaches */
  readonly isLeft: boolean;
  readonly toleranceMm: number;
  readonly engine: ReachAnswers;
}

/**
 * Share of points for which the answer would be another if the gap counted against the tolerance less or plus the
 * facet's chord error e, up to 1.
 *
 * A ball that touches has no gap; how far it is from having one is told by the largest ball that reaches, r. From
 * there to this radius, or to one that is far larger, the gap is taken to grow straight. Where walls face each other
 * gaps jump, and what counts is the radius, which differs by e if the walls do: |radius - r| min(1, slope) <= e.
 */
async function inDoubt(
  { items, errors, radius, farMm, isLeft, toleranceMm, engine }: Doubt,
  signal: AbortSignal | undefined,
): Promise<number> {
  if (errors.length === 0) return 0;
  const to = isLeft ? radius : radius + farMm;
  const found = await engine.run({ kind: 'reach', items, radii: Float64Array.of(to) }, signal);
  const own = [...found.keys()].filter((i) => isLeft === found[i] < radius),
    open = own.filter((i) => Math.abs(radius - found[i]) < farMm);
  if (open.length === 0) return 0;
  const gaps = await engine.run(
    {
      kind: 'gaps',
      items: Float64Array.from(
        open.flatMap((i) => [...items.subarray(POINT_STRIDE * i, POINT_STRIDE * (i + 1))]),
      ),
      profile: ballProfile(to),
      enoughMm: toleranceMm + farMm,
    },
    signal,
  );
  const doubtful = open.filter((i, n) => {
    const slope = (gaps[n] - toleranceMm) / (to - found[i]);
    return Math.abs(radius - found[i]) * Math.min(1, slope) <= errors[i];
  });
  return doubtful.length / own.length;
}
