import { tick, type Context } from '../core/context.js';
import type { FileChunks } from '../core/file-chunks.js';
import { NO_LAST_ANSWERS, type LastAnswers } from '../core/last-answers.js';
import { RAD_PER_DEG } from '../core/units.js';
import { cutterShape, mayFinish, type Cutter } from '../cutter/catalogue.js';
import { checkFacets, checkProportion, checkSurface } from './check-proportion.js';
import { chooseLadder } from './choose-ladder.js';
import { analyseCutters } from './analyse-cutters.js';
import { analyseReach } from './analyse-reach.js';
import { finishingPasses, finishingSurface, reachedSurface } from './finishing-passes.js';
import { passLayout } from './pass-layout.js';
import { floorsAndWalls, millsOf } from './floors-and-walls.js';
import { millReach } from './mill-reach.js';
import { finishersOf } from './ladder-candidates.js';
import { stickoutProbe } from './ladder-stickout.js';
import { ladderTimes } from './ladder-times.js';
import { earlyStages } from './stages.js';
import { checkBlock } from './survey-block.js';
import {
  fastestSplit,
  rasterChoice,
  referenceCutter,
  splitAnswer,
  type SplitAnswer,
} from './split-choice.js';
import { assemblePlan, workAnswers } from './assemble-plan.js';
import { surfaceAnswers } from './surface-answers.js';
import { outputFiles } from './output-files.js';
import { placeSoup, readSoup, type PlacedSoup } from './read-soup.js';
import { roundHoles } from '../surface/holes.js';
import { drilledFacets, holeList } from './hole-list.js';
import { leastDraftAngle, releaseOf } from './release.js';
import { waysUp } from './ways-up.js';
import { cutterAreas } from './cutter-areas.js';
import { passGrounds } from './constant-ground.js';
import { passOutlines } from './pass-outlines.js';
import { surveyPicture } from './picture.js';
import { regionMinutes } from './region-minutes.js';
import { regionStickouts } from './region-stickouts.js';
import { scallopField } from './scallop-field.js';
import { rememberingEngine } from '../reach/remembering-engine.js';
import { inlineEngine, type EngineMaker, type ReachEngine } from '../reach/reach-engine.js';
import { facetNormals } from '../part/facet-normals.js';
import { foretoldFacets } from '../part/foretold-facets.js';
import { normalsToCreases } from '../part/normals-to-creases.js';
import type { PreparedMesh } from '../part/prepare.js';
import type { SmoothPart } from '../part/sagittas.js';
import { trueFacets } from '../part/true-facets.js';
import { smoothNormals } from '../part/smooth-normals.js';
import type { Source } from '../core/source.js';
import { insideRings } from '../outlines/within-mask.js';
import { loadClipper, type Clipper } from '../outlines/clipper.js';
import { crumbLimits } from '../outlines/drop-crumbs.js';
import { traceRings, type TracedBorders } from '../outlines/trace-rings.js';
import type { Plan, SurfaceAnswers, WorkAnswers } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { columnTop } from '../reach/column-top.js';
import { coverOver } from '../reach/cover-over.js';
import { solidProbes } from '../reach/solids.js';
import { openPlan } from '../reach/open-plan.js';
import { heightBounds } from '../reach/height-bounds.js';
import { buildPartTree, meshFacets } from '../reach/build-part-tree.js';
import { buildZones, type ZonedSurface } from '../zones/build-zones.js';
import { AWAY } from '../zones/mark-away.js';
import { numberRegions, type NumberedRegions } from '../zones/number-regions.js';
import { settleNoise, type SettledSurface } from '../part/settle-noise.js';

/** What a survey gives: the plan, and the files that tell it to people and programs. */
export interface Survey {
  readonly plan: Plan;
  /** by name, as they are to be written */
  readonly files: ReadonlyMap<string, Uint8Array | string>;
}

/** Answers told before the whole is known: final, and in the order in which they are. */
export type EarlyAnswers =
  | ({ readonly kind: 'surface' } & SurfaceAnswers)
  | ({ readonly kind: 'work' } & WorkAnswers);

export interface SurveyContext extends Context {
  /** What the last survey left behind; what does not depend on what has changed since is not worked out again. */
  readonly last?: LastAnswers;
  /** Called with what is final as soon as it is: first with what is known of the surface, then of the work. */
  readonly onAnswers?: (answers: EarlyAnswers) => void;
}

/** Facets that reach is asked of miss the true surface by no more than this share of the tolerance. */
const FACET_SHARE = 0.1;
/** The cutter may enter the part by this share of it: rounding of coordinates, and what facets miss by. */
const SLACK_SHARE = 0.1;

/**
 * The whole job, from a part file's bytes to a plan and its files. One function for the command line, the
 * page and programs; it touches nothing outside its arguments.
 *
 * @param makeEngine where reach is computed; the answer does not depend on it
 * @throws {PartError} if the part cannot be used
 */
export async function surveyPart(
  bytes: Uint8Array | FileChunks,
  name: string,
  setup: Setup,
  context: SurveyContext,
  makeEngine: EngineMaker = inlineEngine,
): Promise<Survey> {
  const last = context.last ?? NO_LAST_ANSWERS,
    { recall } = last;
  const soup = await readSoup('survey', bytes, name, setup, context),
    { source } = soup;
  // Chords of a STEP file go by the tolerance, and the best way up by all that is asked for.
  const placement = setup.axis === 'auto' ? setup : [setup.axis, setup.stand, setup.toleranceMm];
  const placed = recall('mesh', [JSON.stringify([source, placement])], () => placeSoup(soup, setup, context)),
    { prepared } = placed,
    { mesh, topology } = prepared;
  checkProportion(prepared.health.boundsMm, setup.toleranceMm, source.name);
  checkSurface(prepared, source.name);
  checkBlock(setup, prepared);
  tick(context, 'surface', 0);
  const { creaseDeg, noiseMm, toleranceMm } = setup;
  const shape = recall('shape', [prepared, creaseDeg, noiseMm], () => {
    const normals = smoothNormals(mesh, topology, { creaseRad: creaseDeg * RAD_PER_DEG });
    context.onSurface?.({ positions: mesh.positions, triangles: mesh.triangles, normals });
    return {
      part: { mesh, normals: normalsToCreases(mesh, topology, normals), twin: topology.twin },
      settled: settleNoise(mesh, topology, normals, noiseMm),
    };
  });
  const accuracyMm = FACET_SHARE * toleranceMm;
  checkFacets(mesh.triangles.length / 3, foretoldFacets(shape.part, accuracyMm), toleranceMm, source.name);
  tick(context, 'surface', 1);
  const clipper = await loadClipper();
  const classed = classParts({ source, setup, placed, ...shape, clipper, last }, context);
  context.onAnswers?.({ kind: 'surface', ...classed.answers });
  tick(context, 'facets', 0);
  const tree = recall('tree', [shape, toleranceMm], () =>
    buildPartTree(trueFacets(shape.part, accuracyMm), typeof SharedArrayBuffer !== 'undefined'),
  );
  tick(context, 'facets', 1);
  const makeOwn = context.last ? rememberingEngine(makeEngine, last) : makeEngine;
  const engine = makeOwn({ tree, limits: { toleranceMm, slackMm: SLACK_SHARE * toleranceMm } });
  try {
    const { part } = shape;
    return await surveyZoned({ setup, prepared, clipper, part, last, ...classed, engine }, context);
  } finally {
    engine.close();
  }
}

const ballsOf = (setup: Setup): Cutter[] =>
  finishersOf(setup.cutters).filter((cutter) => cutterShape(cutter) === 'ball');

/** Ball radii that reach is asked for, ascending, mm. */
function surveyedRadii(setup: Setup): number[] {
  return [...new Set([...setup.radiiMm, ...ballsOf(setup).map(({ RE }) => RE)])].sort((a, b) => a - b);
}

interface Classed {
  readonly answers: SurfaceAnswers;
  readonly zoned: ZonedSurface;
  readonly areas: Float64Array;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
  readonly splitDeg: number;
  /** what chose the split; null: it was asked for */
  readonly fastest: SplitAnswer | null;
}

interface ToClass {
  readonly source: Source;
  readonly setup: Setup;
  readonly placed: PlacedSoup;
  readonly settled: SettledSurface;
  readonly clipper: Clipper;
  readonly last: LastAnswers;
}

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the order of the stages is read in one piece.
function classParts(input: ToClass, context: Context): Classed {
  const { setup, placed, settled, clipper } = input,
    { recall } = input.last,
    { prepared, ways } = placed,
    { mesh, topology } = prepared,
    { splitDeg: asked, overlapDeg, minDraftDeg } = setup;
  const { probes, holes } = recall('plan', [prepared], () => {
    // Classes go by the facets as they are: on rough ground no surface between them is known.
    const tree = buildPartTree(meshFacets(mesh));
    const topOver = columnTop(tree);
    const solids = solidProbes(() => tree, prepared);
    const probes = { topOver, coverOver: coverOver(tree), isOpen: openPlan(tree), solids };
    return { probes, holes: roundHoles(mesh, topology, topOver) };
  });
  const leftOut = recall('drilled', [holes, setup.drilledUpToMm], () =>
    drilledFacets(holes, setup, mesh.triangles.length / 3),
  );
  const zonesAt = (stage: string, splitDeg: number): ZonedSurface => {
    const options = {
      splitRad: splitDeg * RAD_PER_DEG,
      splitEndRad: Math.min(90, splitDeg + overlapDeg) * RAD_PER_DEG,
      overlapMm: setup.overlapMm,
      includeOutside: setup.includeOutside,
      minRegionMm2: setup.minRegionMm2,
      alsoCutAt: minDraftDeg === null ? [] : [leastDraftAngle(minDraftDeg)],
    };
    return recall(stage, [settled, leftOut, JSON.stringify([options, setup.within])], () =>
      buildZones(
        mesh,
        topology,
        settled,
        probes,
        { ...options, leftOut, inside: insideTest(setup) },
        context,
      ),
    );
  };
  const fastest =
    asked === 'auto' ? fastestSplit(zonesAt('split', 45), setup, finishersOf(setup.cutters)) : null;
  const splitDeg = fastest?.fastestDeg ?? (asked === 'auto' ? 45 : asked);
  const zoned = zonesAt('zones', splitDeg);
  const found = recall('regions', [zoned], () => {
    const areas = facetNormals(zoned.surface.mesh).areas;
    const regions = numberRegions(zoned.surface, zoned.labels, areas);
    const borders = traceRings(zoned.surface.mesh, zoned.surface.topology, regions.regionOfFace, clipper);
    return { zoned, areas, regions, borders };
  });
  const answers = surfaceAnswers({
    ...found,
    splitDeg,
    source: input.source,
    setup,
    prepared,
    waysUp: ways ?? waysUp(prepared, setup),
    release: minDraftDeg === null ? null : releaseOf(zoned.surface, zoned.labels, probes, minDraftDeg),
    holes: holeList(holes, zoned, setup),
  });
  return { ...found, splitDeg, answers, fastest };
}

interface Zoned extends Classed {
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  readonly clipper: Clipper;
  readonly part: SmoothPart;
  readonly engine: ReachEngine;
  readonly last: LastAnswers;
}

/** From a classed surface on: reach, cutters, passes, outlines, plan, files. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the order of the stages is read in one piece.
async function surveyZoned(input: Zoned, context: SurveyContext): Promise<Survey> {
  const { setup, prepared, clipper, part, zoned, areas, regions, borders, splitDeg, fastest, engine } = input;
  const { recall } = input.last,
    { stockMm, toleranceMm } = setup;
  const maxima = recall('heights', [prepared, toleranceMm], () =>
    heightBounds(prepared.mesh, toleranceMm, context),
  );
  const radiiMm = surveyedRadii(setup),
    isForBalls = ballsOf(setup).length > 0;
  const asked = JSON.stringify({ radiiMm, stockMm, isForBalls });
  const reach = await recall('reach', [zoned, part, maxima, asked], () =>
    analyseReach({ zoned, part, maxima, engine, radiiMm, stockMm, toleranceMm, isForBalls }, context),
  );
  // The threads answer for what balls leave while this one goes on. It fails only for who waits for it.
  const leaving = recall('left', [reach], reach.left);
  leaving.catch(() => {});
  const reachRadii = reach.reachRadii.map((radius) => Math.max(0, radius - setup.stockMm));
  const finishing = finishingSurface(zoned.surface, zoned.labels, areas);
  const raster = rasterChoice(
    zoned.surface,
    finishing,
    regions.regionOfFace,
    regions.areas.length,
    setup,
    finishersOf(setup.cutters),
    splitDeg,
  );
  const layout = passLayout(finishing, setup, splitDeg, raster.rasterRad);
  const probe = stickoutProbe(maxima, reach, setup, context);
  const refinedFinishing = finishingSurface(reach.surface, reach.labels, reach.areas);
  const refined = numberRegions(reach.surface, reach.labels, reach.areas);
  const milled = await millReach(
    floorsAndWalls(reach, refinedFinishing, refined, setup),
    { reach, part, engine, setup, probe },
    context,
  );
  const grounds = passGrounds({
    surface: reach.surface,
    finishing: refinedFinishing,
    regionOfFace: refined.regionOfFace,
    patchOf: milled.on.patchOf,
    layout,
    setup,
    cutter: referenceCutter(finishersOf(setup.cutters)),
  });
  const times = ladderTimes(reach, refinedFinishing, setup, layout, milled.on, grounds);
  const mayMill = millsOf(setup);
  const otherCutters = await analyseCutters(
    setup.cutters.filter((cutter) => mayFinish(cutter) && !mayMill.includes(cutter)),
    { zoned, part, engine, stockMm: setup.stockMm, toleranceMm: setup.toleranceMm },
    context,
  );
  const ladder = await chooseLadder(
    { reach, setup, part, engine, times, probe, milled, others: otherCutters.cutters },
    context,
  );
  const isDone = (f: number): boolean => !!ladder.done[milled.on.patchOf[f]];
  const ofBalls = {
    ...refinedFinishing,
    classOf: reach.labels.map((label, f) => (isDone(f) ? label | AWAY : label)),
  };
  const early = earlyStages(
    {
      setup,
      prepared,
      holes: input.answers.holes,
      reach,
      finishing: refinedFinishing,
      layout,
      grounds,
      ladder,
      probe,
      on: milled.on,
    },
    context,
  );
  const reached = reachedSurface(ofBalls, ladder.finisherLeft);
  const passes = finishingPasses({
    finishing: reached,
    setup,
    cutter: ladder.finisher,
    layout,
    grounds,
  });
  const scallops = scallopField(reach.labels, passes.scallops, isDone);
  const [splitSurface, splitFinishing] = ladder.done.includes(true)
    ? [reach.surface, reached]
    : [zoned.surface, finishing];
  const split =
    fastest ?? splitAnswer(splitSurface, splitFinishing, setup, ladder.finisher, splitDeg, raster.rasterRad);
  tick(context, 'outlines', 0);
  const outlined = passOutlines(
    regions,
    borders,
    milled.on.patches.flatMap(({ kind, region }, p) => (ladder.done[p] && kind === 'floor' ? [region] : [])),
    grounds,
    clipper,
    {
      stepovers: setup.neckStepovers,
      stepoverMm: passes.plan.raster.spacingMm,
    },
    crumbLimits(setup.leastRingShare, ladder.finisher),
  );
  const cut = cutterAreas({
    early,
    ladder,
    passes: outlined,
    surface: reach.surface,
    on: milled.on,
    clipper,
    setup,
  });
  tick(context, 'outlines', 1);
  const minutes = regionMinutes({
    reach,
    finishing: refinedFinishing,
    reached,
    regions: refined,
    setup,
    layout,
    grounds,
    ladder,
    on: milled.on,
  });
  const toPlan = {
    setup,
    surface: input.answers,
    prepared,
    zoned,
    regions,
    borders,
    outlineFindings: [...outlined.findings, ...cut.findings],
    reach,
    otherCutters,
    milled,
    ladder,
    early,
    cutterAreas: cut.areas,
    passes,
    splitDeg,
    layout,
    raster,
    split,
    probe,
    stickouts: regionStickouts(reach, refined, ladder, probe, minutes),
    minutes,
  };
  const work = workAnswers(toPlan);
  context.onAnswers?.({ kind: 'work', ...work });
  const picture = await surveyPicture(
    {
      reach,
      part,
      ladder,
      engine,
      refined,
      scallops,
      reachedAreas: reached.areas,
      scallopMm: setup.scallopMm,
    },
    context,
  );
  const plan = assemblePlan(toPlan, work, await leaving);
  // All questions are answered: what the threads hold is not needed while files are made.
  engine.close();
  tick(context, 'files', 0);
  const files = await outputFiles({
    plan,
    zoned,
    regions,
    borders,
    passes: outlined,
    laid: passes.laid,
    cutterAreas: cut.areas,
    reach,
    picture,
    reachRadii,
    ladder,
    clipper,
    scallops,
    ballLabels: ofBalls.classOf,
  });
  return { plan, files };
}

function insideTest(setup: Setup): ((x: number, y: number) => boolean) | null {
  return setup.within && insideRings(setup.within.map((ring) => Float64Array.from(ring.flat())));
}
