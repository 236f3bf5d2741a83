import type { LastAnswers } from '../../src/core/last-answers.js';
import { CLASS_INDEX, type SurfaceClass } from '../../src/core/classes.js';
import { compensatedSum } from '../../src/core/sum.js';
import { RAD_PER_DEG } from '../../src/core/units.js';
import type { GapLimits } from '../../src/reach/ball-reach.js';
import { inlineEngine, type ReachEngine } from '../../src/reach/reach-engine.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { normalsToCreases } from '../../src/part/normals-to-creases.js';
import type { SmoothPart } from '../../src/part/sagittas.js';
import { trueFacets } from '../../src/part/true-facets.js';
import { settleNoise } from '../../src/part/settle-noise.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import type { Mesh, Topology } from '../../src/part/types.js';
import type { Plan } from '../../src/plan/plan.js';
import { resolveSetup, SETUP_DEFAULTS, type SetupFile } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { analyseReach, type ReachAnalysis } from '../../src/survey/analyse-reach.js';
import { tightPatches, type TightPatch } from '../../src/reach/tight-patches.js';
import { heightBounds } from '../../src/reach/height-bounds.js';
import { columnTop } from '../../src/reach/column-top.js';
import { coverOver } from '../../src/reach/cover-over.js';
import { solidProbes } from '../../src/reach/solids.js';
import { openPlan } from '../../src/reach/open-plan.js';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import type { PartTree } from '../../src/reach/part-tree.js';
import { buildZones, type ZonedSurface, type ZoneOptions } from '../../src/zones/build-zones.js';
import { classOfLabel } from '../../src/zones/mark-away.js';
import { soupOf } from './soup-of.js';
import { binaryStl } from './stl.js';

/** A part as the survey sees it before classes: float64 all the way, which no file format would allow. */
export interface ReadyPart {
  readonly mesh: Mesh;
  readonly topology: Topology;
  readonly shellOf: Int32Array;
  readonly isSolid: Uint8Array;
  /** (9 F) */
  readonly normals: Float64Array;
  readonly smooth: SmoothPart;
  readonly tree: PartTree;
}

/** As the survey cuts facets, as a share of the tolerance. */
const FACET_SHARE = 0.1;
const DEFAULT_TOLERANCE_MM = 0.02;

export function readyPart(
  corners: Float64Array,
  creaseDeg = 35,
  toleranceMm = DEFAULT_TOLERANCE_MM,
): ReadyPart {
  const { mesh, topology, shellOf, isSolid } = prepareMesh(soupOf(corners), {
    axis: [0, 0, 1],
    stand: false,
  });
  const normals = smoothNormals(mesh, topology, { creaseRad: creaseDeg * RAD_PER_DEG });
  const reachNormals = normalsToCreases(mesh, topology, normals);
  const smooth = { mesh, normals: reachNormals, twin: topology.twin };
  let tree: PartTree | undefined;
  return {
    mesh,
    topology,
    shellOf,
    isSolid,
    normals,
    smooth,
    // Many tests do without.
    get tree() {
      tree ??= buildPartTree(trueFacets(smooth, FACET_SHARE * toleranceMm));
      return tree;
    },
  };
}

export interface ZoneChoice extends Partial<Omit<ZoneOptions, 'splitRad' | 'splitEndRad'>> {
  readonly splitDeg?: number;
  readonly overlapDeg?: number;
  /** 0, each facet at its word, unless asked */
  readonly noiseMm?: number | 'auto';
}

/** Classes of a shape; islands are left alone unless asked. */
export function zonesOf(part: ReadyPart, choice: ZoneChoice = {}): ZonedSurface {
  const { splitDeg = 45, overlapDeg = 3, noiseMm = 0, ...options } = choice;
  const plain = buildPartTree(meshFacets(part.mesh));
  return buildZones(
    part.mesh,
    part.topology,
    settleNoise(part.mesh, part.topology, part.normals, noiseMm),
    {
      topOver: columnTop(plain),
      coverOver: coverOver(plain),
      isOpen: openPlan(plain),
      solids: solidProbes(() => plain, part),
    },
    {
      splitRad: splitDeg * RAD_PER_DEG,
      splitEndRad: Math.min(90, splitDeg + overlapDeg) * RAD_PER_DEG,
      overlapMm: null,
      includeOutside: false,
      minRegionMm2: 0,
      inside: null,
      ...options,
    },
    {},
  );
}

/** Area of each class, mm². */
export function classAreas({ surface, labels }: ZonedSurface): Record<SurfaceClass, number> {
  const { areas } = facetNormals(surface.mesh);
  const of = (cls: SurfaceClass): number =>
    compensatedSum(areas.filter((_, f) => classOfLabel(labels[f]) === CLASS_INDEX[cls]));
  return {
    level: of('level'),
    shallow: of('shallow'),
    overlap: of('overlap'),
    steep: of('steep'),
    undercut: of('undercut'),
    hidden: of('hidden'),
    underside: of('underside'),
    outside: of('outside'),
  };
}

/** Area of the facets whose middle `where` accepts, mm². */
export function surfaceAreaWhere(
  { surface: { mesh } }: Pick<ZonedSurface, 'surface'>,
  where: (x: number, y: number, z: number, f: number) => boolean,
): number {
  const { positions, triangles } = mesh;
  const { areas } = facetNormals(mesh);
  const middle = (f: number, i: number): number =>
    (positions[3 * triangles[3 * f] + i] +
      positions[3 * triangles[3 * f + 1] + i] +
      positions[3 * triangles[3 * f + 2] + i]) /
    3;
  return compensatedSum(areas.filter((_, f) => where(middle(f, 0), middle(f, 1), middle(f, 2), f)));
}

/** What one ball, or several, reach of a shape. */
export interface ShapeReach {
  readonly part: ReadyPart;
  readonly zoned: ZonedSurface;
  readonly reach: ReachAnalysis;
  /** mm², in the order of the radii */
  readonly unreachedMm2: readonly number[];
  /** What the ball of index `i` leaves, largest first. */
  tight(i?: number): Promise<readonly TightPatch[]>;
}

/** Runs classes and reach on a shape in float64. */
export async function reachOf(
  corners: Float64Array,
  radiiMm: readonly number[],
  toleranceMm: number,
  choice: ZoneChoice = {},
): Promise<ShapeReach> {
  const part = readyPart(corners, 35, toleranceMm);
  const limits: GapLimits = { toleranceMm, slackMm: FACET_SHARE * toleranceMm };
  const engine: ReachEngine = inlineEngine({ tree: part.tree, limits });
  const zoned = zonesOf(part, choice);
  const reach = await analyseReach(
    {
      zoned,
      part: part.smooth,
      engine,
      radiiMm,
      stockMm: 0,
      toleranceMm,
      isForBalls: true,
      maxima: heightBounds(part.mesh, toleranceMm),
    },
    {},
  );
  return {
    part,
    zoned,
    reach,
    unreachedMm2: reach.byRadius.map(({ unreachedAreaMm2 }) => unreachedAreaMm2),
    tight: async (i = 0) =>
      tightPatches({ ...reach, own: { counts: reach.counts, border: reach.byRadius[i].border } }, toleranceMm)
        .patches,
  };
}

/**
 * The whole survey of a shape given as a binary STL.
 *
 * @param last what the survey before left, for shapes surveyed more than once: `tests/pipeline/survey-again.test.ts` shows
 *   that nothing comes out otherwise
 */
export async function surveyShape(
  corners: Float64Array,
  options: SetupFile = {},
  last?: LastAnswers,
): Promise<{ readonly plan: Plan; readonly files: ReadonlyMap<string, Uint8Array | string> }> {
  // Closed forms of waterline and raster hold for shapes small enough for lines at constant spacing.
  const setup = resolveSetup(undefined, { constantSpacingMm2: 0, ...options });
  return surveyPart(binaryStl(corners), 'shape.stl', setup, last ? { last } : {});
}

/** No block to rough and semi-finish: for tests that look at finishing alone, which that takes a third of the time of. */
export const FINISHING_ALONE: SetupFile = { rough: [], semi: [] };

/** What a survey says of the reach of some balls, of a part as its file tells it. */
export interface StlReach extends ShapeReach {
  /** mm³, in the order of the radii */
  restMm3(): Promise<readonly number[]>;
}

/**
 * What a survey of a shape's binary STL with the default wishes, balls alone, says of their reach: by the stages that say
 * it, and none of the others, which take three times as long. `tests/verify/recipes.test.ts` compares it with a survey.
 */
export async function reachOfStl(
  corners: Float64Array,
  radiiMm: readonly number[],
  toleranceMm: number,
): Promise<StlReach> {
  const { noiseMm, minRegionMm2 } = SETUP_DEFAULTS;
  const found = await reachOf(corners.map(Math.fround), radiiMm, toleranceMm, { noiseMm, minRegionMm2 });
  const restMm3 = async (): Promise<number[]> =>
    (await found.reach.left()).byRadius.map(({ restVolumeMm3 }) => restVolumeMm3);
  return { ...found, restMm3 };
}
