import type { Context } from '../core/context.js';
import type { FileChunks } from '../core/file-chunks.js';
import type { Finding } from '../core/findings.js';
import type { Source } from '../core/source.js';
import { DEG_PER_RAD } from '../core/units.js';
import type { DefectPlace } from '../part/defect-places.js';
import type { PreparedMesh } from '../part/prepare.js';
import { smoothNormals } from '../part/smooth-normals.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { checkReportHtml } from '../write/check-report.js';
import { packView } from '../write/pack-view.js';
import { viewData } from '../write/view-data.js';
import { fixPart, type FixedPart } from './fix-part.js';
import { placeSoup, readSoup } from './read-soup.js';

/** What a check tells. */
export interface CheckAnswer {
  readonly source: Source;
  readonly mesh: Plan['mesh'];
  readonly findings: readonly Finding[];
  /** where the defects that the findings count can be seen, at most 200 of each kind */
  readonly places: readonly DefectPlace[];
}

/** What a check gives. */
export interface Check extends CheckAnswer {
  /** HTML: the places in a view of the part; null: not asked for */
  readonly report: string | null;
  /** null: not asked for */
  readonly fixed: FixedPart | null;
}

/** What a check is to make besides its answer. */
export interface CheckWishes {
  readonly report?: boolean;
  readonly fixed?: boolean;
}

/**
 * Is the mesh fit: reads, welds, repairs, judges, looks for facets that cut through each other. Writes nothing.
 *
 * @throws {PartError} if the part cannot be used
 */
export async function checkPart(
  bytes: Uint8Array | FileChunks,
  name: string,
  setup: Setup,
  context: Context,
  wishes: CheckWishes = {},
): Promise<Check> {
  // A picture or another mesh takes as much memory as the start of a survey.
  const task = wishes.report || wishes.fixed ? 'survey' : 'check';
  const soup = await readSoup(task, bytes, name, setup, context);
  const { prepared } = placeSoup(soup, setup, context, true);
  const answer: CheckAnswer = {
    source: soup.source,
    mesh: prepared.health,
    findings: prepared.findings,
    places: prepared.defects?.places ?? [],
  };
  return {
    ...answer,
    report: wishes.report ? checkReport(answer, prepared, setup) : null,
    fixed: wishes.fixed ? await fixPart(soup, context) : null,
  };
}

/** The report of a check: each facet coloured by the defect that it shows. */
function checkReport(
  answer: CheckAnswer,
  { mesh, topology, defects }: PreparedMesh,
  { creaseDeg }: Setup,
): string {
  const normals = smoothNormals(mesh, topology, { creaseRad: creaseDeg / DEG_PER_RAD });
  const facets = mesh.triangles.length / 3;
  const view = viewData({
    surface: { mesh, topology, normals },
    regionOfFace: defects?.kindOfFacet ?? new Uint8Array(facets),
    counts: new Float32Array(mesh.positions.length / 3),
    ridgeOfFace: new Uint8Array(facets),
    finisherOfFace: new Uint8Array(facets),
    places: mesh.positions,
  });
  return checkReportHtml(answer, packView({ ...view, gaps: [] }), defects?.codes ?? []);
}
