import { checkLengths } from '../core/check-lengths.js';
import { doubleArea } from '../part/facet-geometry.js';
import type { Mesh, Topology } from '../part/types.js';
import { assembleRings } from './assemble-rings.js';
import { borderChains } from './border-chains.js';
import { borderSegments } from './border-segments.js';
import { cleanRings, LEAST_COVER_MM2 } from './clean-rings.js';
import type { Clipper } from './clipper.js';
import { simplifyChains } from './simplify.js';
import type { Outlines } from './types.js';

export interface TraceOptions {
  /** How far a simplified border may stray from the traced one, mm; 0 keeps every point. */
  readonly toleranceMm: number;
  /** Open edges this near to each other are one, mm. */
  readonly crackMm: number;
}
export const TRACE_DEFAULTS: TraceOptions = { toleranceMm: 0.01, crackMm: 0.02 };

export type TracedBorders = Readonly<ReturnType<typeof traceRings>>;

/**
 * Borders of the regions that faces are labelled with: closed rings in plan, outer ones counter-clockwise and
 * holes clockwise, and curves in space on the surface. Neighbours share the points that are left of their
 * common border.
 *
 * @param labelOfFace (F) region of each face; -1: none
 * @throws {RangeError} if the lengths do not agree
 */
export function traceRings(
  mesh: Mesh,
  topology: Topology,
  labelOfFace: ArrayLike<number>,
  clipper: Clipper,
  options: TraceOptions = TRACE_DEFAULTS,
) {
  const { length } = mesh.triangles;
  checkLengths('traceRings', {
    'half-edges': [topology.twin.length, length],
    labels: [labelOfFace.length, length / 3],
  });
  const segments = borderSegments(mesh, topology, labelOfFace, options.crackMm);
  const chains = borderChains(mesh.positions, segments);
  const curves = simplifyChains(chains, options.toleranceMm, 'space');
  const cover = planCover(mesh, labelOfFace);
  const outlines = cleanRings(
    assembleRings(simplifyChains(chains, options.toleranceMm, 'plan')),
    clipper,
    (region) => (cover.get(region) ?? 0) > LEAST_COVER_MM2,
  );
  return {
    /** Plan rings of each region, fit to be filled and cut; vertical walls have none. */
    outlines,
    /** The same borders in space, each once, vertical walls' among them. */
    curves,
    findings: segments.findings,
  };
}

/** Area in plan of the facets of each region, whichever way they face: no ring can enclose more, mm². */
function planCover(mesh: Mesh, labelOfFace: ArrayLike<number>): Map<number, number> {
  const cover = new Map<number, number>(),
    n = new Float64Array(3);
  for (let f = 0; f < labelOfFace.length; f++) {
    doubleArea(mesh, f, n);
    cover.set(labelOfFace[f], (cover.get(labelOfFace[f]) ?? 0) + Math.abs(n[2]) / 2);
  }
  return cover;
}

/** Plan rings of one region, each (2 n) mm. */
export function ringsOfRegion({ points, start, regionOfRing }: Outlines, region: number): Float64Array[] {
  const rings: Float64Array[] = [];
  regionOfRing.forEach((own, r) => {
    if (own === region) rings.push(points.slice(2 * start[r], 2 * start[r + 1]));
  });
  return rings;
}
