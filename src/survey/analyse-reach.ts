import { tick, type Context } from '../core/context.js';
import type { Finding } from '../core/findings.js';
import type { ReachEngine } from '../fields/reach-engine.js';
import { sampleReach } from '../fields/sample-reach.js';
import { reachBorder, unreachedArea, type ReachBorder } from '../fields/unreached-area.js';
import { facetNormals } from '../mesh/facet-normals.js';
import { resumeSurface } from '../mesh/surface-builder.js';
import type { Mesh, Surface, Topology } from '../mesh/types.js';
import { ballProfile } from '../spatial/cutter-profile.js';
import { restVolume } from '../spatial/rest-volume.js';

/** Reach of one ball radius. */
export interface RadiusReach {
  readonly radiusMm: number;
  readonly unreachedAreaMm2: number;
  readonly restVolumeMm3: number;
  readonly maxGapMm: number;
  readonly border: ReachBorder;
  /** (F) share of each facet that is not reached */
  readonly share: Float64Array;
}

export interface ReachAnalysis {
  /** the zoned surface, refined where reach changes inside its facets */
  readonly surface: Surface;
  readonly labels: Uint8Array;
  readonly areas: Float64Array;
  /** (V) how many of the radii reach each vertex; `NOT_ASKED` */
  readonly counts: Uint8Array;
  /** ascending */
  readonly byRadius: readonly RadiusReach[];
  /** ascending, mm, allowance included */
  readonly radii: Float64Array;
  readonly findings: readonly Finding[];
}

export interface ReachInput {
  readonly part: { readonly mesh: Mesh; readonly topology: Topology };
  readonly zoned: { readonly surface: Surface; readonly labels: Uint8Array };
  readonly sagittas: Float32Array;
  readonly engine: ReachEngine;
  /** ascending, mm */
  readonly radiiMm: readonly number[];
  readonly stockMm: number;
}

/** Facets open to every cutter are looked at in pieces of the part's diagonal over this many. */
const PIECES_PER_DIAGONAL = 60;
const MOST_FACES = 6_000_000;
/** Along an edge, mm: a fifth of what outlines may be off. */
const BORDER_ACCURACY_MM = 0.01;

/** What each ball radius reaches of the machinable surface, and what it leaves. */
export async function analyseReach(input: ReachInput, context: Context): Promise<ReachAnalysis> {
  const { zoned, sagittas, engine, stockMm, part } = input;
  const radii = Float64Array.from(input.radiiMm, (radius) => radius + stockMm);
  const build = resumeSurface(zoned.surface, zoned.labels);
  const coarseMm = Math.min(5, Math.max(1, diagonal(part.mesh.positions) / PIECES_PER_DIAGONAL));
  const { counts, capped } = await sampleReach(
    build, engine, { radii, coarseMm, sagittas, mostFaces: MOST_FACES }, context,
  );
  const { surface, labels } = build.finish();
  const { areas } = facetNormals(surface.mesh);
  const byRadius: RadiusReach[] = [];
  for (let index = 0; index < radii.length; index++) {
    tick(context, 'rest material', index / radii.length);
    const border = await reachBorder(
      surface, labels, counts, radii, index, sagittas, engine, BORDER_ACCURACY_MM, context,
    );
    const { totalMm2, share } = unreachedArea(surface, labels, areas, counts, border);
    const radiusMm = input.radiiMm[index];
    const rest = totalMm2 === 0
      ? { volumeMm3: 0, greatestMm: 0 }
      : restVolume(part.mesh, part.topology, ballProfile(radiusMm), { stockMm }, signalOnly(context));
    byRadius.push({
      radiusMm, unreachedAreaMm2: totalMm2, restVolumeMm3: rest.volumeMm3, maxGapMm: rest.greatestMm, border, share,
    });
  }
  tick(context, 'rest material', 1);
  const findings: Finding[] = capped ? [{
    code: 'reach.refinement-capped', severity: 'warning', count: 1, whereMm: null,
    message: `The surface was refined to ${MOST_FACES} facets and no further: borders of reach are coarser than stated.`,
  }] : [];
  return { surface, labels, areas, counts, byRadius, radii, findings };
}

const signalOnly = ({ signal }: Context): Context => (signal ? { signal } : {});

function diagonal(positions: Float64Array): number {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    low[i % 3] = Math.min(low[i % 3], positions[i]);
    high[i % 3] = Math.max(high[i % 3], positions[i]);
  }
  return Math.sqrt(low.reduce((sum, x, i) => sum + (high[i] - x) ** 2, 0));
}
