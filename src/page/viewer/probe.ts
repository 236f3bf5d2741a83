import { Triangle, Vector3 } from 'three';
import { ballReach, type AtPoint, type GapLimits } from '../../reach/ball-reach.js';
import { ballQuery } from '../../reach/ball-contact.js';
import { DEEPEST_RADII } from '../../reach/gap-bands.js';
import type { PartTree } from '../../reach/part-tree.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';
import { castRay } from './pick-ray.js';

export type Point = readonly [number, number, number];

/** A point read on the surface. */
export interface Reading {
  readonly point: Point;
  readonly normal: Point;
  readonly wallAngleRad: number;
  /** -1: where work is limited to elsewhere */
  readonly region: number;
}

/** A ball cutter as near to a point as it gets without cutting into the part. */
export interface CutterPose {
  /** mm by which it misses the point */
  readonly gapMm: number;
  /** ball centre; null where it does not fit */
  readonly centre: Point | null;
  /** where it touches the part; null where it does not fit */
  readonly contact: Point | null;
}

export type Probe = ReturnType<typeof makeProbe>;

/** Packing moved every point by up to half a step along each axis. */
const SLACK_SHARE = 0.1;
/** A ball this much larger than its reach radius is what the tolerance alone lets into a sharp corner. */
const SHARP_TOLERANCES = 5;

/** Exact answers at single points, by the same kernels as the survey's. */
export function makeProbe(
  view: ViewData,
  tree: PartTree,
  facts: Pick<SceneFacts, 'radiiMm' | 'toleranceMm' | 'stockMm' | 'mesh'>,
) {
  const limits: GapLimits = {
    toleranceMm: facts.toleranceMm,
    slackMm: SLACK_SHARE * facts.toleranceMm + facts.mesh.stepMm,
  };
  const query = ballQuery(tree),
    reach = ballReach(query, limits);
  const most = facts.radiiMm.length === 0 ? 0 : facts.radiiMm[facts.radiiMm.length - 1] + facts.stockMm;
  return {
    /** first point of the surface that a ray meets; null where it meets none, or the inside of the part */
    readAlong: (
      from: Point,
      along: Point,
      keep: (point: readonly number[], facet: number) => boolean,
    ): Reading | null => {
      const hit = castRay(tree, from, along, keep);
      // What is seen from behind is the inside of the part, opened by a section.
      if (hit === null || facesAway(view, hit.facet, along)) return null;
      const point = from.map((x, k) => x + hit.distance * along[k]);
      return reading(view, hit.facet, [point[0], point[1], point[2]]);
    },
    /** largest ball that reaches the point, mm, allowance taken off; Infinity: the largest surveyed or more */
    reachRadiusMm: ({ point, normal }: Reading): number => {
      const radius = reach.radius(...point, ...normal, most);
      return radius < SHARP_TOLERANCES * limits.toleranceMm ? 0 : Math.max(0, radius - facts.stockMm);
    },
    pose: ({ point, normal }: Reading, radiusMm: number): CutterPose => {
      const radius = radiusMm + facts.stockMm;
      const gapMm = reach.gap(...point, ...normal, radius, DEEPEST_RADII * radius);
      if (gapMm === Infinity) return { gapMm, centre: null, contact: null };
      const [x, y, z] = point.map((value, k) => value + reach.centre[k]);
      // Grown a little, the ball reaches into what it touches: its deepest entry is the contact.
      const touch = query.deepest(Float64Array.of(x, y, z, radius + 0.05 * facts.toleranceMm, 0));
      const contact: Point =
        touch.facet >= 0 && gapMm > limits.toleranceMm ? [touch.x, touch.y, touch.z] : point;
      return { gapMm, centre: [x, y, z], contact };
    },
    /** whether the gap of a ball at a point, its normal after it, is no more than so much, mm */
    isWithin: (at: AtPoint, radiusMm: number, limitMm: number): boolean =>
      reach.isWithin(...at, radiusMm + facts.stockMm, limitMm),
  };
}

const vectorAt = (values: Float64Array, v: number): Vector3 => new Vector3().fromArray(values, 3 * v);

function cornersOf({ triangles, positions }: ViewData, facet: number): Triangle {
  const corner = (k: number): Vector3 => vectorAt(positions, triangles[3 * facet + k]);
  return new Triangle(corner(0), corner(1), corner(2));
}

/** What stands at a point of a facet: its normal interpolated from the corners'. */
function reading(view: ViewData, facet: number, point: Point): Reading {
  const { triangles, normals, regions } = view;
  const weights = cornersOf(view, facet).getBarycoord(new Vector3(...point), new Vector3());
  const n = new Vector3();
  for (let k = 0; k < 3; k++)
    n.addScaledVector(
      vectorAt(normals, triangles[3 * facet + k]),
      weights?.getComponent(k) ?? Number(k === 0),
    );
  const { x, y, z } = n.normalize();
  return {
    point,
    normal: [x, y, z],
    region: regions[triangles[3 * facet]],
    wallAngleRad: Math.atan2(Math.sqrt(x * x + y * y), z),
  };
}

const facesAway = (view: ViewData, facet: number, along: Point): boolean =>
  cornersOf(view, facet)
    .getNormal(new Vector3())
    .dot(new Vector3(...along)) > 0;
