import { boundsOf } from '../core/bounds.js';
import type { Context } from '../core/context.js';
import { finding, type Finding } from '../core/findings.js';
import { ballProfile } from '../cutter/cutter-profile.js';
import type { BorderTold } from '../reach/reach-middles.js';
import { withoutHaste, type ReachAnswers } from '../reach/reach-engine.js';
import { openByGrid } from '../reach/open-by-grid.js';
import { mostAdded, sampleReach } from '../reach/sample-reach.js';
import { reachBorders, unreachedArea, withFound, type ReachBorder } from '../reach/unreached-area.js';
import { facetNormals } from '../part/facet-normals.js';
import { resumeSurface } from '../surface/surface-builder.js';
import type { SmoothPart } from '../part/sagittas.js';
import type { Surface } from '../part/types.js';
import type { BlockMaxima } from '../reach/grid-queries.js';
import { chordFindings } from './chord-spread.js';
import { restVolumes } from './rest-volumes.js';

/** What one cutter does not reach. */
export interface Reached {
  readonly unreachedAreaMm2: number;
  readonly border: ReachBorder;
  /** (F) share of each facet that is not reached */
  readonly share: Float64Array;
}

/** Reach of one ball radius. */
export interface RadiusReach extends Reached {
  readonly radiusMm: number;
}

/** What the balls leave, and how far the mesh lets that be known. */
export interface LeftByRadius {
  /** in the order of the radii */
  readonly byRadius: readonly { readonly restVolumeMm3: number; readonly maxGapMm: number }[];
  readonly findings: readonly Finding[];
}

export interface ReachAnalysis {
  /** the zoned surface, refined where reach changes inside its facets */
  readonly surface: Surface;
  readonly labels: Uint8Array;
  readonly areas: Float64Array;
  /**
   * (V) largest radius that reaches each vertex, mm, allowance included; Infinity: the largest asked; NaN:
   * not asked
   */
  readonly reachRadii: Float64Array;
  /** (V) how many of the radii reach each vertex; `NOT_ASKED` */
  readonly counts: Uint8Array;
  /** where borders lie that need not be asked */
  readonly toldBorder: BorderTold;
  /** ascending */
  readonly byRadius: readonly RadiusReach[];
  /** ascending, mm, allowance included */
  readonly radii: Float64Array;
  readonly findings: readonly Finding[];
  /** asks for it: other stages need it not, and go on beside it */
  readonly left: () => Promise<LeftByRadius>;
  /** points that the height grid settled, and that took exact queries */
  readonly settledByGrid: number;
  readonly queried: number;
}

export interface ReachInput {
  readonly zoned: { readonly surface: Surface; readonly labels: Uint8Array };
  readonly part: SmoothPart;
  /** upper bounds of the part's height */
  readonly maxima: BlockMaxima;
  readonly toleranceMm: number;
  readonly engine: ReachAnswers;
  /** ascending, mm */
  readonly radiiMm: readonly number[];
  readonly stockMm: number;
  /** whether no cutter of another shape is asked about on the same surface */
  readonly isForBalls: boolean;
}

/** Facets open to every cutter are looked at in pieces of the part's diagonal over this many. */
const PIECES_PER_DIAGONAL = 60;
/**
 * Along an edge, mm; on average over a border the error is a small part of it, since it falls to either side.
 */
export const BORDER_ACCURACY_MM = 0.015;

const cappedFinding = (added: number): Finding =>
  finding(
    'reach.refinement-capped',
    'warning',
    `The surface was refined by ${added} facets and no further: borders of reach are coarser than stated. ` +
      'Facets that cut through each other, shells within shells, and cutters small against the part take that many.',
  );

/** What each ball radius reaches of the machinable surface, and what it leaves. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the order of the stages is read in one piece.
export async function analyseReach(input: ReachInput, context: Context): Promise<ReachAnalysis> {
  const { zoned, part, engine, stockMm, radiiMm, maxima, toleranceMm, isForBalls } = input;
  const radii = Float64Array.from(radiiMm, (radius) => radius + stockMm);
  const build = resumeSurface(zoned.surface, zoned.labels);
  const added = mostAdded(build.faceCount());
  const coarseMm = Math.max(1, diagonal(zoned.surface.mesh.positions) / PIECES_PER_DIAGONAL);
  const isOpen = openByGrid(maxima, radii[radii.length - 1], toleranceMm);
  const {
    reachRadii,
    counts,
    toldBorder,
    capped,
    settledByGrid,
    asked: queried,
  } = await sampleReach(
    build,
    engine,
    {
      radii,
      coarseMm,
      part,
      isOpen,
      mostFaces: build.faceCount() + added,
      toleranceMm,
      mayBeLong: isForBalls,
    },
    context,
  );
  const { surface, labels } = build.finish();
  const { areas } = facetNormals(surface.mesh);
  const asked = { surface, labels, reachRadii, counts, toldBorder, radii, part };
  const borders = await reachBorders(asked, engine, BORDER_ACCURACY_MM, context);
  const scratch = new Float32Array(surface.mesh.triangles.length);
  const unreached = borders.map((border) => unreachedArea(asked, areas, border, scratch));
  const leaving = [...radiiMm.keys()].filter((i) => unreached[i].totalMm2 > 0);
  const topMm = boundsOf(part.mesh.positions).max[2];
  const profiles = Array.from(radii, ballProfile);
  const byRadius = radiiMm.map((radiusMm, i) => ({
    radiusMm,
    unreachedAreaMm2: unreached[i].totalMm2,
    share: unreached[i].share,
    border: borders[i],
  }));
  const left = async (): Promise<LeftByRadius> => {
    // Neither waits for the other: while one's questions are answered the other's are made.
    const later = { reach: asked, engine: withoutHaste(engine), toleranceMm };
    const [rest, findings] = await Promise.all([
      restVolumes({ ...later, profiles, topMm }, leaving, context),
      chordFindings({ ...later, areas, byRadius }, context.signal),
    ]);
    // A larger ball leaves no less anywhere: what columns under a smaller one found holds for it too.
    let maxGapMm = 0;
    return {
      byRadius: byRadius.map(({ unreachedAreaMm2 }, i) => {
        const { volumeMm3, greatestMm } = rest[leaving.indexOf(i)] ?? { volumeMm3: 0, greatestMm: 0 };
        // What is not reached is missed by more than the tolerance, whichever vertices were asked.
        if (unreachedAreaMm2 > 0) maxGapMm = Math.max(maxGapMm, toleranceMm, greatestMm);
        return { restVolumeMm3: volumeMm3, maxGapMm };
      }),
      findings,
    };
  };
  return {
    surface,
    labels,
    areas,
    reachRadii,
    counts,
    toldBorder: withFound(asked, borders),
    byRadius,
    radii,
    findings: capped ? [cappedFinding(added)] : [],
    left,
    settledByGrid,
    queried,
  };
}

function diagonal(positions: Float64Array): number {
  const { min, max } = boundsOf(positions);
  return Math.sqrt(min.reduce((sum, low, i) => sum + (max[i] - low) ** 2, 0));
}
