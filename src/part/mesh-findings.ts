import type { Finding, Severity } from '../core/findings.js';
import { digits } from '../core/figures.js';
import { facetCentre } from './facet-geometry.js';
import { nextCorner } from './half-edge.js';
import type { MeshHealth } from './health.js';
import type { Oriented } from './orient.js';
import type { Stitched } from './stitch.js';
import type { EdgeCount, TopologyReport } from './topology.js';
import type { Weld } from './weld.js';

export interface MeshHistory {
  /** (9 T) mm, the soup in the file's coordinates */
  readonly corners: Float64Array;
  /** 4 x 4, column by column: to set-up coordinates */
  readonly matrix: readonly number[];
  readonly welded: Weld;
  readonly stitched: Stitched;
  readonly oriented: Oriented;
  /** Topology in the end. */
  readonly report: TopologyReport;
  readonly health: MeshHealth;
}

type Place = readonly [number, number, number];
/** code, severity, count, place, message */
type Row = readonly [string, Severity, number, Place | null, string];

/**
 * Everything that was repaired or stays doubtful, each with its meaning for the answer; nothing for a clean
 * mesh.
 */
export function meshFindings(history: MeshHistory): Finding[] {
  const rows = [...dropRows(history), ...stitchRows(history), ...turnRows(history), ...edgeRows(history)];
  return rows
    .filter(([, , count]) => count > 0)
    .map(([code, severity, count, whereMm, message]) => ({ code, severity, message, count, whereMm }));
}

const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** How many there are, and the place of the first. */
const tallied =
  (placeOf: (first: number) => Place) =>
  ({ count, first }: EdgeCount): readonly [number, Place | null] => [
    count,
    first < 0 ? null : placeOf(first),
  ];

function dropRows(history: MeshHistory): Row[] {
  const { degenerate, duplicate, backToBack } = history.welded;
  const seen = tallied((f) => soupPlace(history, f));
  return [
    [
      'mesh.degenerate',
      'info',
      ...seen(degenerate),
      `${counted(degenerate.count, 'triangle')} without area left out; areas are not affected`,
    ],
    [
      'mesh.duplicate',
      'warning',
      ...seen(duplicate),
      `${counted(duplicate.count, 'triangle')} present twice or more; the copies were left out, so that areas count once`,
    ],
    [
      'mesh.back-to-back',
      'warning',
      ...seen(backToBack),
      `${counted(backToBack.count, 'triangle')} back to back with another, enclosing nothing, left out: inner walls, ` +
        'fins without thickness or facets written both ways round are no surface of the part',
    ],
  ];
}

function stitchRows({ stitched }: MeshHistory): Row[] {
  const { snapped, split, collapsedFaces, greatestGapMm } = stitched;
  const gap = greatestGapMm < 1e-6 ? 'of mere rounding' : `up to ${digits(greatestGapMm, 2)} mm wide`;
  return [
    [
      'mesh.cracks-joined',
      'info',
      snapped.count,
      snapped.whereMm,
      `${counted(snapped.count, 'vertex', 'vertices')} joined to a neighbour across cracks ${gap}` +
        `${collapsedFaces > 0 ? `; ${counted(collapsedFaces, 'facet')} vanished in that` : ''}`,
    ],
    [
      'mesh.edges-split',
      'info',
      split.count,
      split.whereMm,
      `${counted(split.count, 'vertex', 'vertices')} found inside the open edge of a neighbour, which was split there, gaps ${gap}`,
    ],
  ];
}

function turnRows({ stitched, oriented }: MeshHistory): Row[] {
  const { inconsistent, insideOut, conflicts } = oriented;
  const seen = tallied((f) => facetCentre(stitched.mesh, f));
  return [
    [
      'mesh.flipped',
      'warning',
      ...seen(inconsistent),
      `${counted(inconsistent.count, 'facet')} faced the other way than the neighbours and ${inconsistent.count === 1 ? 'was' : 'were'} turned`,
    ],
    [
      'mesh.inside-out',
      'warning',
      ...seen(insideOut),
      `${counted(insideOut.count, 'shell')} inside out (walls would read as undercuts) and turned outward`,
    ],
    [
      'mesh.one-sided',
      'error',
      ...seen(conflicts),
      `${counted(conflicts.count, 'edge')} where the facets cannot agree on an outside; wall angles near there may be of the wrong side`,
    ],
  ];
}

function edgeRows({ oriented, report, health }: MeshHistory): Row[] {
  const { mesh } = oriented;
  const seen = tallied((h) => edgePlace(mesh, h));
  const several = oriented.shells.count - 1;
  return [
    [
      'mesh.open-edges',
      'warning',
      ...seen(report.open),
      `${counted(report.open.count, 'open edge')}: the surface is not closed, so there is no volume, and a cutter may seem to reach ` +
        'what missing facets would keep it from',
    ],
    [
      'mesh.non-manifold',
      'warning',
      ...seen(report.nonManifold),
      `${counted(report.nonManifold.count, 'edge')} shared by more than two facets: regions and smooth surfaces end there, ` +
        'and there is no volume',
    ],
    [
      'mesh.several-shells',
      'info',
      several > 0 ? several + 1 : 0,
      several > 0 ? facetCentre(mesh, oriented.shells.firstFace[1]) : null,
      `${several + 1} separate shells, taken together as one part; where they overlap, areas${
        health.volumeMm3 === null ? '' : ' and the volume'
      } count twice`,
    ],
  ];
}

function soupPlace({ corners, matrix: m }: MeshHistory, f: number): Place {
  const [x, y, z] = [0, 1, 2].map(
    (i) => (corners[9 * f + i] + corners[9 * f + 3 + i] + corners[9 * f + 6 + i]) / 3,
  );
  const placed = (i: number): number => m[i] * x + m[4 + i] * y + m[8 + i] * z + m[12 + i];
  return [placed(0), placed(1), placed(2)];
}

function edgePlace({ positions, triangles }: Stitched['mesh'], h: number): Place {
  const u = triangles[h],
    v = triangles[nextCorner(h)];
  const mean = (i: number): number => 0.5 * (positions[3 * u + i] + positions[3 * v + i]);
  return [mean(0), mean(1), mean(2)];
}
