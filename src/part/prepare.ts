import { tick, type Context } from '../core/context.js';
import { PartError } from '../core/errors.js';
import { significant } from '../core/figures.js';
import { MOST_MM } from '../core/limits.js';
import type { Finding } from '../core/findings.js';
import { meshHealth, type MeshHealth } from './health.js';
import { defectFindings, defectPlaces, type DefectPlaces } from './defect-places.js';
import { findHoles } from './holes.js';
import { meshDefects, type MeshHistory } from './mesh-findings.js';
import { orient, type Oriented } from './orient.js';
import { pinchedVertices } from './pinched-vertices.js';
import { selfCrossings } from './self-crossings.js';
import { shellRoles } from './shell-roles.js';
import { coordinateFindings, placePart, unitFindings, type Placed, type PlaceOptions } from './set-up.js';
import type { Soup } from '../core/soup.js';
import { stitch, STITCH_DEFAULTS } from './stitch.js';
import { buildTopology, type TopologyReport } from './topology.js';
import type { Mesh, Topology } from './types.js';
import { weld, type Weld } from './weld.js';

export interface PrepareOptions extends PlaceOptions {
  /** Open edges up to this far apart are joined, mm; 0: none. */
  readonly stitchMm?: number;
  /** Look for facets that cut through each other too, and tell all places. */
  readonly inDetail?: boolean;
}

/** A clean mesh in set-up coordinates, and everything that was done to the triangles on the way. */
export interface PreparedMesh {
  readonly mesh: Mesh;
  readonly topology: Topology;
  /** (F) triangle of the file that each facet is, or is a part of; ascending */
  readonly sourceFace: Int32Array;
  /** (F) shell of each facet */
  readonly shellOf: Int32Array;
  /** (S) 1 where a shell bounds a solid of its own, or a hollow; see `ShellRoles` */
  readonly isSolid: Uint8Array;
  readonly health: MeshHealth;
  /** 4 x 4, column by column: from the file's mm to the set-up's mm */
  readonly matrix: readonly number[];
  /** The reader's findings first, then ours. */
  readonly findings: readonly Finding[];
  /** null: not asked for */
  readonly defects: DefectPlaces | null;
}

/**
 * Sets a part up, makes it an indexed mesh, closes its cracks, turns its facets outward and judges it. Facets
 * that cut through each other are searched for only in detail: it would take a survey 5 % longer.
 *
 * @throws {PartError} `mesh.empty` if no facet with an area is left; `mesh.too-far` if a corner lies where none may
 */
export function prepareMesh(soup: Soup, options: PrepareOptions, context: Context = {}): PreparedMesh {
  tick(context, 'mesh', 0);
  checkReach(soup);
  const welded = weld(soup.corners);
  if (welded.mesh.triangles.length === 0) throw emptyError(soup);
  tick(context, 'mesh', 0.4);
  // Placed after welding: a sixth of the points, and what was dropped does not decide where the part stands.
  const placed = placePart(welded.mesh.positions, options);
  const mesh = { positions: placed.points, triangles: welded.mesh.triangles };
  const first = buildTopology(mesh);
  const stitched = stitch(mesh, first, {
    ...STITCH_DEFAULTS,
    toleranceMm: options.stitchMm ?? STITCH_DEFAULTS.toleranceMm,
  });
  if (stitched.mesh.triangles.length === 0) throw emptyError(soup);
  tick(context, 'mesh', 0.6);
  const beforeTurns = stitched.report;
  const oriented = orient(stitched.mesh, beforeTurns);
  const report = oriented.turnedFaces === 0 ? beforeTurns : buildTopology(oriented.mesh);
  tick(context, 'mesh', 0.8);
  const sourceFace = stitched.parent.map((f) => welded.sourceFace[f]);
  const roles = shellRoles(oriented, report);
  const judged = judge(
    soup,
    placed,
    { welded, stitched, oriented, report, roles },
    options.inDetail ?? false,
  );
  tick(context, 'mesh', 1);
  return {
    mesh: oriented.mesh,
    topology: report.topology,
    sourceFace,
    shellOf: oriented.shells.shellOf,
    isSolid: roles.isSolid,
    matrix: placed.matrix,
    ...judged,
  };
}

type Made = Pick<MeshHistory, 'welded' | 'stitched' | 'oriented' | 'report' | 'roles'>;

/** What there is to tell of the mesh and of what was done to it. */
function judge(
  soup: Soup,
  { points, matrix }: Placed,
  made: Made,
  inDetail: boolean,
): Pick<PreparedMesh, 'health' | 'findings' | 'defects'> {
  const { oriented, report, welded } = made;
  const health = healthOf(oriented, report, welded);
  const history: MeshHistory = {
    ...made,
    corners: soup.corners,
    matrix,
    holes: findHoles(oriented, report),
    pinched: pinchedVertices(oriented.mesh, report),
    crossings: inDetail ? selfCrossings(oriented.mesh) : null,
    health,
  };
  const defects = meshDefects(history);
  return {
    health,
    findings: [
      ...soup.findings,
      ...unitFindings(points, soup.source.unit),
      ...coordinateFindings(soup),
      ...defectFindings(defects, history),
    ],
    defects: inDetail ? defectPlaces(defects, history) : null,
  };
}

const healthOf = (
  { mesh, turnedFaces, shells }: Oriented,
  report: TopologyReport,
  { degenerate, duplicate, backToBack }: Weld,
): MeshHealth =>
  meshHealth(mesh, report, {
    degenerateTriangles: degenerate.length,
    duplicateTriangles: duplicate.length + backToBack.length,
    flippedTriangles: turnedFaces,
    shells: shells.count,
  });

function checkReach({ corners, source }: Soup): void {
  const at = corners.findIndex((mm) => Math.abs(mm) > MOST_MM);
  if (at < 0) return;
  throw new PartError({
    code: 'mesh.too-far',
    where: `${source.name}: triangle ${Math.floor(at / 9) + 1}`,
    what: `a coordinate of ${significant(corners[at], 4)} mm, at most ${MOST_MM} mm either way are taken`,
    remedy: 'check the unit of the file (--unit), or export it nearer to its origin',
  });
}

const emptyError = (soup: Soup): PartError =>
  new PartError({
    code: 'mesh.empty',
    where: soup.source.name,
    what: `none of its ${soup.source.triangles} triangles has an area`,
    remedy: 'export the part again',
  });
