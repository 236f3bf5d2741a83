import { tick, type Context } from '../core/context.js';
import type { Finding } from '../core/findings.js';
import { RAD_PER_DEG } from '../core/units.js';
import { ballOf, chooseLadder, finishersOf } from './choose-ladder.js';
import { analyseCutters } from './analyse-cutters.js';
import { analyseReach, type ReachAnalysis } from './analyse-reach.js';
import { finishingPasses, finishingSurface, passLayout, type FinishingPasses } from './finishing-passes.js';
import { stickoutProbe } from './ladder-stickout.js';
import { ladderTimes } from './ladder-times.js';
import { otherLadder } from './other-ladder.js';
import { fastestSplit, rasterChoice, splitAnswer, type SplitAnswer } from './split-choice.js';
import { assemblePlan } from './assemble-plan.js';
import { outputFiles } from './output-files.js';
import { passOutlines } from './pass-outlines.js';
import { regionStickouts } from './region-stickouts.js';
import { restVolumes, type RestVolumes } from './rest-volumes.js';
import { scallopField } from './scallop-field.js';
import { inlineEngine, type EngineMaker, type ReachEngine } from '../reach/reach-engine.js';
import { facetNormals } from '../part/facet-normals.js';
import { normalsToCreases } from '../part/normals-to-creases.js';
import { prepareMesh, type PreparedMesh } from '../part/prepare.js';
import { edgeSagittas, facetSagittas, type SmoothPart } from '../part/sagittas.js';
import { smoothNormals } from '../part/smooth-normals.js';
import type { Source } from '../core/source.js';
import { insideRings } from '../outlines/within-mask.js';
import { loadClipper } from '../outlines/clipper.js';
import { traceRings } from '../outlines/trace-rings.js';
import type { Plan } from '../plan/plan.js';
import { readPart } from '../read/read-part.js';
import type { Setup } from '../setup.js';
import { columnTop } from '../reach/column-top.js';
import { openPlan } from '../reach/open-plan.js';
import { heightBounds } from '../reach/height-bounds.js';
import type { BlockMaxima } from '../reach/grid-queries.js';
import { buildPartTree, type PartTree } from '../reach/part-tree.js';
import { buildZones, type ZonedSurface } from '../zones/build-zones.js';
import type { SurfaceNoise } from '../zones/noise-freckles.js';
import { numberRegions, type NumberedRegions } from '../zones/number-regions.js';
import { steadyNormals } from '../part/steady-normals.js';
import { surfaceNoise } from '../part/surface-noise.js';

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

/**
 * Beyond tessellation, the cutter may enter the part by this share of the tolerance: rounding of coordinates.
 */
const SLACK_SHARE = 0.01;

/**
 * Is the mesh fit: reads, welds, repairs, judges. Writes nothing.
 *
 * @throws {PartError} if the part cannot be used
 */
export async function checkPart(
  bytes: Uint8Array,
  name: string,
  setup: Setup,
  context: Context,
): Promise<Check> {
  const { prepared, source } = await readAndPrepare(bytes, name, setup, context);
  return { source, mesh: prepared.health, findings: prepared.findings };
}

/**
 * The whole job, from a part file's bytes to a plan and its files. One function for the command line, the
 * page and programs; it touches nothing outside its arguments.
 *
 * @param makeEngine where reach is computed; the answer does not depend on it
 * @throws {PartError} if the part cannot be used
 */
export async function surveyPart(
  bytes: Uint8Array,
  name: string,
  setup: Setup,
  context: Context,
  makeEngine: EngineMaker = inlineEngine,
): Promise<Survey> {
  const { prepared, source } = await readAndPrepare(bytes, name, setup, context);
  const { mesh, topology } = prepared;
  tick(context, 'surface', 0);
  const normals = smoothNormals(mesh, topology, { creaseRad: setup.creaseDeg * RAD_PER_DEG });
  context.onSurface?.({ positions: mesh.positions, triangles: mesh.triangles, normals });
  const reachNormals = normalsToCreases(mesh, topology, normals);
  const chords = edgeSagittas(mesh, topology, reachNormals),
    sagittas = facetSagittas(chords);
  const tree = buildPartTree(mesh, chords, typeof SharedArrayBuffer !== 'undefined');
  const facets = facetNormals(mesh),
    rmsMm = setup.noiseMm === 'auto' ? surfaceNoise(mesh, topology, facets) : setup.noiseMm;
  const noise: SurfaceNoise | null = rmsMm > 0 ? { rmsMm, rawNormals: normals } : null;
  const steady = noise ? steadyNormals(mesh, topology, facets, normals, rmsMm) : normals;
  tick(context, 'surface', 1);
  const limits = { toleranceMm: setup.toleranceMm, slackMm: SLACK_SHARE * setup.toleranceMm };
  const engine = makeEngine({ tree, limits, mesh, topology });
  try {
    const rest = restVolumes(engine, surveyedRadii(setup), setup.stockMm);
    const classed = classParts({ setup, prepared, tree, steady, noise }, context);
    return await surveyZoned(
      { source, setup, prepared, reachNormals, sagittas, ...classed, rest, engine },
      context,
    );
  } finally {
    engine.close();
  }
}

/** Ball radii that reach is asked for, ascending, mm. */
function surveyedRadii(setup: Setup): number[] {
  return [...new Set([...setup.radiiMm, ...ballOf(setup.cutters).map((cutter) => cutter.RE)])].sort(
    (a, b) => a - b,
  );
}

interface Classed {
  readonly zoned: ZonedSurface;
  readonly areas: Float64Array;
  readonly regions: NumberedRegions;
  readonly splitDeg: number;
  /** what chose the split; null: it was asked for */
  readonly fastest: SplitAnswer | null;
}

interface ToClass {
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  readonly tree: PartTree;
  /** (9 F) */
  readonly steady: Float64Array;
  readonly noise: SurfaceNoise | null;
}

function classParts(
  { setup, prepared: { mesh, topology }, tree, steady, noise }: ToClass,
  context: Context,
): Classed {
  const probes = { topOver: columnTop(tree), isOpen: openPlan(tree) };
  const inside = insideTest(setup);
  const zonesAt = (splitDeg: number): ZonedSurface =>
    buildZones(
      mesh,
      topology,
      steady,
      probes,
      {
        splitRad: splitDeg * RAD_PER_DEG,
        splitEndRad: Math.min(90, splitDeg + setup.overlapDeg) * RAD_PER_DEG,
        overlapMm: setup.overlapMm,
        includeOutside: setup.includeOutside,
        minRegionMm2: setup.minRegionMm2,
        noise,
        inside,
      },
      context,
    );
  const fastest =
    setup.splitDeg === 'auto' ? fastestSplit(zonesAt(45), setup, finishersOf(setup.cutters)) : null;
  const splitDeg = fastest?.fastestDeg ?? (setup.splitDeg === 'auto' ? 45 : setup.splitDeg);
  const zoned = zonesAt(splitDeg);
  const areas = facetNormals(zoned.surface.mesh).areas;
  const regions = numberRegions(zoned.surface, zoned.labels, areas);
  return { zoned, areas, regions, splitDeg, fastest };
}

interface Zoned extends Classed {
  readonly source: Source;
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  /** (9 F) */
  readonly reachNormals: Float64Array;
  readonly sagittas: Float32Array;
  readonly rest: RestVolumes;
  readonly engine: ReachEngine;
}

/** From a classed surface on: reach, cutters, passes, outlines, plan, files. */
async function surveyZoned(input: Zoned, context: Context): Promise<Survey> {
  const { zoned, areas, regions, prepared, setup } = input;
  const maxima = heightBounds(prepared.mesh, prepared.topology, setup.toleranceMm, context);
  const part = { mesh: prepared.mesh, normals: input.reachNormals };
  const radiiMm = surveyedRadii(setup);
  const reach = await analyseReach({ ...input, ...setup, radiiMm, part, maxima }, context);
  const chosen = await chooseCutters(input, { reach, maxima, part }, context);
  // All questions are answered: what the threads hold is not needed while files are made.
  input.engine.close();
  const refined = numberRegions(reach.surface, reach.labels, reach.areas);
  const traced = await traceOutlines(input, chosen.passes, context);
  const plan = assemblePlan({
    ...input,
    ...chosen,
    reach,
    borders: traced.borders,
    stickouts: regionStickouts(reach, refined, chosen.ladder, chosen.probe),
  });
  tick(context, 'files', 0);
  const files = await outputFiles({
    plan,
    zoned,
    regions,
    refined,
    ...traced,
    reach,
    reachRadii: reach.reachRadii.map((radius) => Math.max(0, radius - setup.stockMm)),
    ladder: chosen.ladder,
    sagittas: input.sagittas,
    scallops: scallopField(zoned.surface, areas, chosen.passes.scallops, reach.surface, reach.labels),
  });
  return { plan, files };
}

interface ToChoose {
  readonly reach: ReachAnalysis;
  readonly maxima: BlockMaxima;
  readonly part: SmoothPart;
}

/** Which cutters finish what, and their passes. */
async function chooseCutters(
  { setup, zoned, areas, regions, splitDeg, fastest, engine }: Zoned,
  { reach, maxima, part }: ToChoose,
  context: Context,
) {
  const { surface, labels } = zoned;
  const finishing = finishingSurface(surface, labels, areas);
  const raster = rasterChoice(
    surface,
    finishing,
    regions.regionOfFace,
    regions.areas.length,
    setup,
    finishersOf(setup.cutters),
    splitDeg,
  );
  const layout = passLayout(finishing, setup, splitDeg, raster.rasterRad);
  const probe = stickoutProbe(maxima, reach, setup, context);
  const times = ladderTimes(reach, setup, layout);
  const otherCutters = await analyseCutters(setup.cutters, { ...setup, zoned, part, engine }, context);
  const balls = ballOf(setup.cutters);
  const choice = { reach, balls, setup, part, engine, times, probe };
  const ladder =
    balls.length > 0
      ? await chooseLadder(choice, context)
      : await otherLadder(choice, otherCutters.cutters, context);
  const cutter = ladder.finisher;
  const passes = finishingPasses({ surface, finishing, setup, cutter, layout });
  const split = fastest ?? splitAnswer(surface, finishing, setup, cutter, splitDeg, raster.rasterRad);
  return { raster, layout, probe, otherCutters, ladder, passes, split };
}

/** Borders of the regions, and outlines of the passes. */
async function traceOutlines(
  { setup, zoned: { surface }, regions }: Zoned,
  { plan: { raster } }: FinishingPasses,
  context: Context,
) {
  const clipper = await loadClipper();
  tick(context, 'outlines', 0);
  const traced = traceRings(surface.mesh, surface.topology, regions.regionOfFace, clipper);
  tick(context, 'outlines', 1);
  const passes = passOutlines(regions, traced, clipper, {
    stepovers: setup.neckStepovers,
    stepoverMm: raster.spacingMm,
  });
  const borders = { ...traced, findings: [...traced.findings, ...passes.findings] };
  return { clipper, borders, passes };
}

async function readAndPrepare(
  bytes: Uint8Array,
  name: string,
  setup: Setup,
  context: Context,
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
