import { tick, type Context } from './core/context.js';
import type { Finding } from './core/findings.js';
import { RAD_PER_DEG } from './core/units.js';
import { ballOf, chooseLadder } from './survey/choose-ladder.js';
import { analyseReach } from './survey/analyse-reach.js';
import { finishingPasses, finishingSurface } from './survey/finishing-passes.js';
import { assemblePlan } from './survey/assemble-plan.js';
import { bandedRadii, outputFiles } from './survey/output-files.js';
import { inlineEngine, type EngineMaker, type ReachEngine } from './fields/reach-engine.js';
import { facetNormals } from './mesh/facet-normals.js';
import { prepareMesh, type PreparedMesh } from './mesh/prepare.js';
import { facetSagittas } from './mesh/sagittas.js';
import { smoothNormals } from './mesh/smooth-normals.js';
import type { Source } from './mesh/types.js';
import { insideRings } from './outlines/within-mask.js';
import { loadClipper } from './outlines/clipper.js';
import { traceRings } from './outlines/trace-rings.js';
import type { Plan } from './plan/plan.js';
import { readPart } from './read/read-part.js';
import type { Setup } from './setup.js';
import { columnTop } from './spatial/column-top.js';
import { openPlan } from './spatial/open-plan.js';
import { blockMaxima, type BlockMaxima } from './spatial/grid-queries.js';
import { gridPitch, gridWindow, planBounds } from './spatial/grid-window.js';
import { heightGrid } from './spatial/height-grid.js';
import { buildPartTree } from './spatial/part-tree.js';
import { buildZones, type ZonedSurface } from './zones/build-zones.js';
import { numberRegions, type NumberedRegions } from './zones/number-regions.js';

/** What a survey gives: the plan, and the files that tell it to people and programs. */
export interface Survey {
  readonly plan: Plan;
  /** by name, as they are to be written */
  readonly files: ReadonlyMap<string, Uint8Array | string>;
}

/** What a check gives. */
export interface Check {
  readonly source: Source;
  readonly mesh: Plan['mesh'];
  readonly findings: readonly Finding[];
}

/** Beyond tessellation, the cutter may enter the part by this share of the tolerance: rounding of coordinates. */
const SLACK_SHARE = 0.01;

/**
 * Is the mesh fit: reads, welds, repairs, judges. Writes nothing.
 *
 * @throws {PartError} if the part cannot be used
 */
export async function checkPart(bytes: Uint8Array, name: string, setup: Setup, context: Context): Promise<Check> {
  const { prepared, source } = await readAndPrepare(bytes, name, setup, context);
  return { source, mesh: prepared.health, findings: prepared.findings };
}

/**
 * The whole job, from a part file's bytes to a plan and its files. One function for the command line, the page and
 * programs; it touches nothing outside its arguments.
 *
 * @param makeEngine where reach is computed; the answer does not depend on it
 * @throws {PartError} if the part cannot be used
 */
export async function surveyPart(
  bytes: Uint8Array, name: string, setup: Setup, context: Context, makeEngine: EngineMaker = inlineEngine,
): Promise<Survey> {
  const { prepared, source } = await readAndPrepare(bytes, name, setup, context);
  const { mesh, topology } = prepared;
  tick(context, 'surface', 0);
  const normals = smoothNormals(mesh, topology, { creaseRad: setup.creaseDeg * RAD_PER_DEG });
  const sagittas = facetSagittas(mesh, normals);
  const tree = buildPartTree(mesh, sagittas, typeof SharedArrayBuffer !== 'undefined');
  tick(context, 'surface', 1);
  const splitDeg = setup.splitDeg === 'auto' ? 45 : setup.splitDeg;
  const inside = insideTest(setup);
  const zoned = buildZones(mesh, topology, normals, {
    topOver: columnTop(tree), isOpen: openPlan(tree),
  }, {
    splitRad: splitDeg * RAD_PER_DEG, splitEndRad: Math.min(90, splitDeg + setup.overlapDeg) * RAD_PER_DEG,
    overlapMm: setup.overlapMm, includeOutside: setup.includeOutside, minRegionMm2: setup.minRegionMm2, inside,
  }, context);
  const areas = facetNormals(zoned.surface.mesh).areas;
  const regions = numberRegions(zoned.surface, zoned.labels, areas);

  const limits = { toleranceMm: setup.toleranceMm, slackMm: SLACK_SHARE * setup.toleranceMm };
  const engine = makeEngine({ tree, limits, mesh, topology });
  try {
    return await surveyZoned({ source, setup, prepared, sagittas, zoned, areas, regions, splitDeg, engine }, context);
  } finally {
    engine.close();
  }
}

interface Zoned {
  readonly source: Source;
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  readonly sagittas: Float32Array;
  readonly zoned: ZonedSurface;
  readonly areas: Float64Array;
  readonly regions: NumberedRegions;
  readonly splitDeg: number;
  readonly engine: ReachEngine;
}

/** From a classed surface on: reach, cutters, passes, outlines, plan, files. */
async function surveyZoned(input: Zoned, context: Context): Promise<Survey> {
  const { source, setup, prepared, sagittas, zoned, areas, regions, splitDeg, engine } = input;
  const balls = ballOf(setup.cutters);
  const radiiMm = [...new Set([...setup.radiiMm, ...balls.map((cutter) => cutter.RE)])].sort((a, b) => a - b);
  const maxima = heightBounds(prepared, setup.toleranceMm, context);
  const reach = await analyseReach({
    zoned, sagittas, maxima, engine, radiiMm, stockMm: setup.stockMm, toleranceMm: setup.toleranceMm,
  }, context);
  const ladder = await chooseLadder({ reach, balls, setup, sagittas, engine }, context);
  const finishing = finishingSurface(zoned.surface, zoned.labels, areas);
  const passes = finishingPasses({
    surface: zoned.surface, finishing, setup, cutter: ladder.finisher, splitDeg, rasterRad: 0,
  });
  const clipper = await loadClipper();
  tick(context, 'outlines', 0);
  const borders = traceRings(zoned.surface.mesh, zoned.surface.topology, regions.regionOfFace, clipper);
  tick(context, 'outlines', 1);
  const plan = assemblePlan({
    source, setup, prepared, zoned, areas, regions, borders, reach, ladder, passes, splitDeg,
  });
  const files = await outputFiles({
    plan, regions, borders, reach, reachRadii: bandedRadii(reach), ladder, clipper, sagittas,
  });
  return { plan, files };
}

/** Nodes of the grid that bounds the part's height. */
const HEIGHT_NODES = 500_000;

/** Upper bounds of the part's height, for what they settle without asking its facets. */
function heightBounds({ mesh, topology }: PreparedMesh, toleranceMm: number, context: Context): BlockMaxima {
  const bounds = planBounds(mesh);
  const window = gridWindow(bounds, gridPitch(bounds, toleranceMm, HEIGHT_NODES));
  return blockMaxima(window, heightGrid(mesh, topology, window, context).upper);
}

async function readAndPrepare(
  bytes: Uint8Array, name: string, setup: Setup, context: Context,
): Promise<{ readonly prepared: PreparedMesh; readonly source: Source }> {
  tick(context, 'read', 0);
  const soup = await readPart(bytes, setup.unit === null ? { name } : { name, unit: setup.unit });
  tick(context, 'read', 1);
  const prepared = prepareMesh(soup, { axis: setup.axis, stand: setup.stand }, context);
  return { prepared, source: soup.source };
}

function insideTest(setup: Setup): ((x: number, y: number) => boolean) | null {
  return setup.within && insideRings(setup.within.map((ring) => Float64Array.from(ring.flat())));
}
