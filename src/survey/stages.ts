import { tick, type Context } from '../core/context.js';
import { PartError } from '../core/errors.js';
import { finding, type Finding } from '../core/findings.js';
import { runningSum } from '../core/sum.js';
import { cutterShape, type Cutter } from '../cutter/catalogue.js';
import { DEFAULT_ROUGHERS } from '../cutter/default-roughers.js';
import { insideRings } from '../outlines/within-mask.js';
import type { PreparedMesh } from '../part/prepare.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { blockBounds, type Block } from '../stages/block.js';
import { chooseRoughers } from '../stages/choose-roughers.js';
import { rougherOf, roughStock, type Rougher } from '../stages/rough-move.js';
import { stockField, volumeBetween, type StockField } from '../stages/stock-field.js';
import type { FinishingSurface } from '../time/finishing-surface.js';
import type { Left } from '../time/ladder-states.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';
import { bothPasses, finishingFeed, type PassLayout } from './pass-layout.js';
import type { FloorsAndWalls } from './floors-and-walls.js';
import type { PassGrounds } from './pass-grounds.js';
import { whereCut } from './cut-pieces.js';
import { ballLeaves } from './ladder-candidates.js';
import type { StickoutProbe } from './ladder-stickout.js';
import { ladderTimes } from './ladder-times.js';
import { areMillsFirst, beforeRung, nextMinutes, nextStages, semiLayout } from './next-stages.js';
import { stageWalk, type EarlyStage, type SurfaceWork } from './stage-walk.js';
import { blockName, surveyBlock } from './survey-block.js';

export interface StagesInput {
  readonly setup: Setup;
  readonly prepared: PreparedMesh;
  readonly holes: Plan['holes'];
  readonly reach: ReachAnalysis;
  /** of that surface */
  readonly finishing: FinishingSurface;
  readonly layout: PassLayout;
  readonly grounds: PassGrounds;
  readonly ladder: Ladder;
  readonly probe: StickoutProbe;
  readonly on: FloorsAndWalls;
}

export interface EarlyStages {
  readonly stages: readonly EarlyStage[];
  readonly block: Plan['block'];
  /** what each cutter of the ladder meets, by its id: on floors, along walls, elsewhere */
  readonly finishMeets: ReadonlyMap<string, FinishMeets>;
  readonly findings: readonly Finding[];
}

type Meets = Plan['stages'][number]['meets'];
type FinishMeets = Readonly<Partial<Record<'floors' | 'walls' | 'elsewhere', Meets>>>;

/** Roughers are only told apart on this lattice. */
const CHOICE_NODES = 16_000;

/**
 * Roughing, rest-roughing and semi-finishing: what each takes of the block, as heights over a lattice, and what it
 * leaves for the next.
 *
 * @throws {PartError} `block.small`, `option.rough`, `option.semi`
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the order of the stages is read in one piece.
export function earlyStages(input: StagesInput, context: Context): EarlyStages {
  const { setup, prepared, ladder } = input;
  tick(context, 'stages', 0);
  const block = surveyBlock(setup, prepared);
  const roughers = possibleRoughers(setup, block),
    semi = semiFinishers(input);
  const widestMm = Math.max(
    ...roughers.map(({ cutter }) => cutter.DC / 2 + roughStock(cutter, setup)),
    ...[...semi, ladder.finisher].map(({ DC }) => DC / 2 + setup.semiStockMm),
  );
  const name = blockName(setup);
  const fieldOf = (nodes: { readonly nodes?: number }): StockField =>
    stockField({
      ...nodes,
      mesh: prepared.mesh,
      block,
      marginMm: widestMm,
      isWork: setup.within && insideRings(setup.within.map((ring) => Float64Array.from(ring.flat()))),
      plugs: input.holes
        .filter(({ isDrilled }) => isDrilled)
        .flatMap(({ topsMm, diameterMm }) => topsMm.map((topMm) => ({ topMm, radiusMm: diameterMm / 2 }))),
      where: name ?? 'block',
    });
  const lefts = leftBy(semi, input),
    choice = rougherChoice(input, semi),
    isAuto = setup.rough === 'auto';
  const next = nextStages(input, semi, lefts);
  const following = (on: StockField) => nextMinutes(on, next, setup);
  const chosenOn = (coarse: StockField): readonly Rougher[] =>
    chooseRoughers(roughers, coarse, { ...choice, nextMinutes: following(coarse) });
  const chosen = isAuto ? chosenOn(fieldOf({ nodes: CHOICE_NODES })) : roughers;
  const field = fieldOf({}),
    // The first is asked for, whatever it saves.
    minutesOf = isAuto && chosen.length > 1 ? following(field) : () => Infinity;
  const walk = stageWalk(field, setup);
  const stockMm = chosen.length > 0 ? roughStock(chosen[0].cutter, setup) : 0;
  // The coarse grid of the choice does not tell what narrow strips take.
  const isWorth = (before: Float32Array, after: Float32Array, minutes: number): boolean =>
    minutesOf(before, after) > minutes + choice.leastGainMinutes;
  for (const [i, rougher] of chosen.entries()) {
    walk.rough(rougher, stockMm, choice.thinMm(chosen[0]), isWorth);
    tick(context, 'stages', (i + 1) / (chosen.length + 2));
  }
  const finishMeets = new Map<string, FinishMeets>();
  const finish = (isMill: boolean): void =>
    ladder.rungs.forEach(({ cutter, role, milled, share }, i) => {
      if ((role === 'floors and walls') !== isMill) return;
      const { touched } = whereCut(input.reach, setup, share, beforeRung(ladder, i));
      if (!isMill) {
        const takesMm = semi.length > 0 ? setup.semiStockMm : stockMm;
        finishMeets.set(cutter.id, { elsewhere: walk.finish(cutter, takesMm, touched) });
        return;
      }
      const areaOf = (kind: 'floor' | 'wall'): number =>
        milled.reduce(
          (sum, { patch, areaMm2 }) => sum + (input.on.patches[patch].kind === kind ? areaMm2 : 0),
          0,
        );
      const areas = { floors: areaOf('floor'), walls: areaOf('wall') };
      const takesMm = Math.max(stockMm, setup.semiStockMm);
      finishMeets.set(cutter.id, walk.finishMilled(cutter, takesMm, touched, areas));
    });
  if (areMillsFirst(setup)) finish(true);
  semi.forEach((cutter, i) => {
    const isFirst = i === 0,
      { facets, touched } = next[i];
    walk.follow(
      isFirst ? 'semi-finish' : 'semi-corners',
      cutter,
      takesOf(cutter, isFirst ? stockMm : 0, setup),
      touched,
      () => semiWork(input, cutter, { before: lefts[i - 1] ?? null, share: lefts[i].share, facets }),
      // Of its own accord only where the same cutter would meet too much in finishing.
      ({ greatestMm }) => setup.semi !== 'auto' || greatestMm > setup.mostThickness * setup.semiStockMm,
    );
  });
  if (!areMillsFirst(setup)) finish(true);
  finish(false);
  tick(context, 'stages', 1);
  return {
    stages: walk.stages,
    block: {
      kind: block.kind,
      name,
      boundsMm: { min: [...blockBounds(block).min], max: [...blockBounds(block).max] },
      toRemoveMm3: volumeBetween(field, field.block, field.part),
      pitchMm: field.lattice.pitchMm,
    },
    finishMeets,
    findings: [...walk.findings(), ...placeholderRoughers(walk.stages, setup)],
  };
}

/** Whether a cutter may rough: flat or bull-nose, and not meant for something else. */
const mayRough = (cutter: Cutter): boolean =>
  ['flat', 'bull-nose'].includes(cutterShape(cutter)) &&
  (cutter.stages.length === 0 || cutter.stages.includes('rough'));

/**
 * Those asked for, in that order; else all of the catalogue, large to small, or placeholders where it has none. What is
 * wider than the block is not tried, but for the smallest.
 */
function possibleRoughers(setup: Setup, block: Block): Rougher[] {
  const own = setup.cutters.filter(mayRough);
  const known = own.length > 0 ? own : DEFAULT_ROUGHERS;
  const { min, max } = blockBounds(block),
    widest = Math.min(max[0] - min[0], max[1] - min[1]);
  const cutters =
    setup.rough === 'auto'
      ? [...known]
          .sort((a, b) => b.DC - a.DC || a.RE - b.RE)
          .filter(({ DC }, i, all) => DC <= widest || i === all.length - 1)
      : setup.rough.map((id) => named(id, known, '--rough', 'flat or bull-nose cutter that may rough'));
  return cutters.map((cutter) => rougherOf(cutter, setup));
}

/** The first over all, the others in its corners. */
function semiFinishers({ setup, ladder }: Pick<StagesInput, 'setup' | 'ladder'>): readonly Cutter[] {
  if (setup.semi === 'auto')
    return ladder.rungs.filter(({ role }) => role !== 'floors and walls').map(({ cutter }) => cutter);
  const balls = setup.cutters.filter((cutter) => cutterShape(cutter) === 'ball');
  return setup.semi.map((id) => named(id, balls, '--semi', 'straight ball-nose cutter'));
}

function named(id: string, cutters: readonly Cutter[], flag: string, what: string): Cutter {
  const found = cutters.find((cutter) => cutter.id === id);
  if (found) return found;
  throw new PartError({
    code: `option.${flag.slice(2)}`,
    where: flag,
    what: `"${id}" is no ${what} of the catalogue`,
    remedy:
      cutters.length > 0
        ? `name one of ${cutters.map((one) => one.id).join(', ')}`
        : 'add one to the catalogue',
  });
}

function rougherChoice({ setup, ladder }: StagesInput, semi: readonly Cutter[]) {
  const next = semi[0] ?? ladder.finisher,
    stockMm = (rougher: Rougher): number => roughStock(rougher.cutter, setup);
  return {
    firstShare: setup.roughShare,
    stockMm,
    thinMm: (first: Rougher) => setup.mostThickness * takesOf(next, stockMm(first), setup),
    leastGainMinutes: setup.machine.toolChangeSeconds / 60 + setup.leastGainMinutes,
  };
}

/** What a semi-finisher should take, mm. @param stockMm what roughing left on the part for it */
const takesOf = ({ DC }: Cutter, stockMm: number, { semiStockMm, roughStockShare }: Setup): number =>
  Math.max(stockMm, semiStockMm, roughStockShare * DC);

/** Steps, minutes and length of a semi-finisher, by the model of the finishing passes. @param facets that it runs over */
function semiWork(
  { setup, reach, finishing, layout, grounds, ladder, probe, on }: StagesInput,
  cutter: Cutter,
  { before, share, facets }: { before: Left | null; share: Float64Array; facets: Uint32Array },
): SurfaceWork {
  const own = semiLayout(setup, layout, cutter);
  const [waterline, raster] = bothPasses(own, cutter);
  const area = runningSum();
  for (const f of facets) area.add(finishing.areas[f] * ((before?.larger[f] ?? 1) - share[f]));
  return {
    stepoverMm: before ? Math.min(waterline.spacingMm, raster.spacingMm) : raster.spacingMm,
    stepdownMm: before ? null : waterline.spacingMm,
    feedMmPerMin: finishingFeed(setup, cutter, raster.spacingMm, raster.steepestRad, own.work).feedMmPerMin,
    areaMm2: area.value(),
    minutes: ladderTimes(reach, finishing, setup, own, on, grounds).minutes(
      before,
      { cutter, share },
      before ? [{ cutter, share: before.share }] : [],
    ),
    blendShare: before ? setup.blendShare : null,
    stickout:
      ladder.rungs.find((rung) => rung.cutter.id === cutter.id)?.stickout ??
      probe.atVertices(cutter, (v) => reach.reachRadii[v] >= cutter.RE + setup.stockMm),
  };
}

/** What semi-finishers leave, each with those before it. */
function leftBy(cutters: readonly Cutter[], { reach, ladder, on, setup }: StagesInput): Left[] {
  const isMilled = (f: number): boolean => areMillsFirst(setup) && ladder.done[on.patchOf[f]];
  const alone = ({ id, RE }: Cutter): Pick<Left, 'share' | 'larger'> => {
    const left = ballLeaves(RE, reach, setup) ?? ladder.rungs.find(({ cutter }) => cutter.id === id)?.left;
    if (!left) throw new RangeError(`leftBy: nothing is known of ${id}`);
    const isFinisher = setup.semi === 'auto' && id === ladder.finisher.id;
    if (!isFinisher) return left;
    const share = ladder.finisherLeft;
    return { share, larger: left.larger.map((own, f) => Math.max(own, share[f])) };
  };
  const faces = Uint32Array.from(reach.areas.keys()),
    all = (share: number): Float64Array => new Float64Array(faces.length).fill(share);
  let left: Left = { share: all(1), larger: all(Infinity), faces };
  return cutters.map((cutter) => {
    const { share, larger } = alone(cutter);
    // Floors and walls that mills finish are theirs from what roughing left on, unless semi-finishers are asked for.
    const both = (before: Float64Array, own: Float64Array): Float64Array =>
      before.map((mine, f) => (isMilled(f) ? 1 : Math.min(mine, own[f])));
    left = { share: both(left.share, share), larger: both(left.larger, larger), faces };
    return left;
  });
}

function placeholderRoughers(stages: readonly EarlyStage[], setup: Setup): Finding[] {
  const own = new Set(setup.cutters);
  const used = stages.filter(({ cutter }) => !own.has(cutter)).map(({ cutterId }) => cutterId);
  if (used.length === 0) return [];
  return [
    finding(
      'stages.placeholder-roughers',
      'info',
      `The catalogue has no flat or bull-nose cutter that may rough: ${used.join(', ')} of ordinary proportion ` +
        `${used.length === 1 ? 'stands' : 'stand'} in.`,
    ),
  ];
}
