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
import { resolveSetup, type SetupFile } from '../../src/resolve-setup.js';
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
    reach,
    unreachedMm2: reach.byRadius.map(({ unreachedAreaMm2 }) => unreachedAreaMm2),
    tight: async (i = 0) =>
      tightPatches({ ...reach, own: { counts: reach.counts, border: reach.byRadius[i].border } }, toleranceMm)
        .patches,
  };
}

/** The whole survey of a shape given as a binary STL. */
export async function surveyShape(
  corners: Float64Array,
  options: SetupFile = {},
  name = 'shape.stl',
): Promise<{ readonly plan: Plan; readonly files: ReadonlyMap<string, Uint8Array | string> }> {
  // Closed forms of waterline and raster hold for shapes small enough for lines at constant spacing.
  const setup = resolveSetup(undefined, { constantSpacingMm2: 0, ...options });
  return surveyPart(binaryStl(corners), name, setup, {});
}

/** No block to rough and semi-finish: for tests that look at finishing alone, which that takes a third of the time of. */
export const FINISHING_ALONE: SetupFile = { rough: [], semi: [] };

/** What the survey's plan says of the reach of some balls. */
export interface SurveyedReach {
  readonly plan: Plan;
  /** mm², in the order of the radii */
  readonly unreachedMm2: readonly number[];
  /** mm³ */
  readonly restMm3: readonly number[];
}

/** Surveys a shape with a catalogue of just these balls. */
export async function surveyedReach(
  corners: Float64Array,
  radiiMm: readonly number[],
  toleranceMm = 0.02,
): Promise<SurveyedReach> {
  const cutters = radiiMm.map((radius) => ({
    id: `R${radius}`,
    DC: 2 * radius,
    RE: radius,
    APMX: 2 * radius,
    LU: 60,
    NOF: 2,
  }));
  const { plan } = await surveyShape(corners, {
    unit: 'mm',
    stand: false,
    toleranceMm,
    radiiMm: [...radiiMm],
    cutters: { version: 1, cutters },
    ...FINISHING_ALONE,
  });
  const of = (radius: number): Plan['reach']['byRadius'][number] => {
    const found = plan.reach.byRadius.find(({ radiusMm }) => radiusMm === radius);
    if (!found) throw new RangeError(`surveyedReach: the plan has no radius ${radius}`);
    return found;
  };
  return {
    plan,
    unreachedMm2: radiiMm.map((radius) => of(radius).unreachedAreaMm2),
    restMm3: radiiMm.map((radius) => of(radius).restVolumeMm3 ?? NaN),
  };
}
