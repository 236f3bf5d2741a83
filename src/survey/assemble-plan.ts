import { leastOf } from '../core/bounds.js';
import { CLASSES } from '../core/classes.js';
import { digits } from '../core/figures.js';
import type { Finding, Severity } from '../core/findings.js';
import { cutterShape } from '../cutter/catalogue.js';
import type { PreparedMesh } from '../part/prepare.js';
import { ringsOfRegion, type TracedBorders } from '../outlines/trace-rings.js';
import type { Stickout } from '../reach/stickout.js';
import type { Plan, SurfaceAnswers, WorkAnswers } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import { machineFindings } from '../time/machine.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { TightPatches } from '../reach/tight-patches.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import type { CuttersAnalysis } from './analyse-cutters.js';
import type { LeftByRadius, ReachAnalysis } from './analyse-reach.js';
import { CAUTIONS } from './cautions.js';
import type { Ladder } from './choose-ladder.js';
import type { CutterArea } from './cutter-areas.js';
import { millPlans } from './mill-times.js';
import type { MillReach } from './mill-reach.js';
import type { Patch } from './floors-and-walls.js';
import { totalPassTime } from '../time/pass-time.js';
import type { FinishingPasses } from './finishing-passes.js';
import type { PassLayout } from './pass-layout.js';
import type { StickoutProbe } from './ladder-stickout.js';
import type { RegionMinutes } from './region-minutes.js';
import type { RegionStickout } from './region-stickouts.js';
import type { RestWork } from './rest-work.js';
import { notMilled } from './not-milled.js';
import { planTime } from './plan-time.js';
import { planStages } from './plan-stages.js';
import type { EarlyStages } from './stages.js';
import { equalScallopDeg, type RasterChoice, type SplitAnswer } from './split-choice.js';
import { uniqueFindings } from './surface-answers.js';

export interface WorkInput {
  readonly setup: Setup;
  readonly surface: SurfaceAnswers;
  readonly prepared: PreparedMesh;
  readonly zoned: ZonedSurface;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
  readonly outlineFindings: readonly Finding[];
  readonly reach: ReachAnalysis;
  /** of the cutters that are no straight balls */
  readonly otherCutters: CuttersAnalysis;
  /** of those that floors and walls may be left to */
  readonly milled: MillReach;
  readonly ladder: Ladder;
  readonly early: EarlyStages;
  readonly cutterAreas: readonly CutterArea[];
  readonly passes: FinishingPasses;
  readonly splitDeg: number;
  readonly layout: PassLayout;
  readonly raster: RasterChoice;
  readonly split: SplitAnswer;
  readonly probe: StickoutProbe;
  readonly minutes: RegionMinutes;
  /** of each region */
  readonly stickouts: readonly (RegionStickout | null)[];
}

/** Puts what is final before what balls leave is known into the plan's form. */
export function workAnswers(input: WorkInput): WorkAnswers {
  const { setup, ladder, splitDeg } = input;
  const regions = planRegions(input),
    rungs = ladderRungs(ladder),
    finishing = passPlans(input),
    reached = planReach(input);
  return {
    ...input.surface,
    version: 1,
    passes: finishing,
    regions,
    reach: reached,
    notMilled: notMilled(input, { waysUp: input.surface.waysUp, regions, reach: reached }),
    ladder: rungs,
    ...planStages(input, { regions, ladder: rungs, passes: finishing }),
    ladderSecond: ladder.second && { ...ladder.second, cutterIds: [...ladder.second.cutterIds] },
    ladderOneMore: ladder.oneMore,
    ladderLeftOut: ladder.leftOut.map((own) => ({ ...own, insteadOfIds: [...own.insteadOfIds] })),
    split: {
      angleDeg: splitDeg,
      overlapDeg: setup.overlapDeg,
      equalScallopDeg: equalScallopDeg(input.layout.steps, input.layout, ladder.finisher),
      ...input.split,
    },
    time: planTime(ladder, setup, input.raster),
    cautions: [...CAUTIONS],
  };
}

/** The plan whole: with what the balls leave, and all findings. */
export function assemblePlan(input: WorkInput, work: WorkAnswers, left: LeftByRadius): Plan {
  const { setup, passes, reach, ladder } = input;
  return {
    ...work,
    findings: uniqueFindings([
      ...input.surface.findings,
      ...input.outlineFindings,
      ...reach.findings,
      ...left.findings,
      ...input.otherCutters.findings,
      ...passes.findings,
      ...machineFindings(setup.machine),
      ...cutterFindings(ladder),
      ...leftoverFindings(ladder),
      ...deepFindings(ladder, setup),
      ...stickoutFindings(ladder, setup),
      ...input.minutes.findings,
      ...input.early.findings,
    ]),
    reach: {
      ...work.reach,
      byRadius: work.reach.byRadius.map((known, i) => ({ ...known, ...left.byRadius[i] })),
    },
  };
}

function planReach(input: WorkInput): WorkAnswers['reach'] {
  const { setup, reach, ladder } = input;
  return {
    toleranceMm: setup.toleranceMm,
    smallestRadiusMm: smallestRadius(ladder, reach, setup.stockMm),
    byRadius: reach.byRadius.map(({ radiusMm, unreachedAreaMm2 }) => ({ radiusMm, unreachedAreaMm2 })),
    byCutter: setup.cutters.flatMap(({ id }) =>
      [...input.milled.cutters, ...input.otherCutters.cutters].filter(({ cutterId }) => cutterId === id),
    ),
    tightRegions: planPatches(ladder.tight, input, ladder.cutterFor),
    leftover: planPatches(ladder.leftover, input, () => null),
    crumbs: ladder.leftover.crumbs,
    tooDeep: planDeepPlaces(input),
  };
}

/** What each pass does, and what makes it long. */
function passPlans({
  passes: { plan },
  minutes: { cutApart },
  ladder,
  milled,
  setup,
}: WorkInput): Plan['passes'] {
  const millPasses = (kind: Patch['kind']): Plan['passes']['floors'] =>
    ladder.rungs.flatMap(({ cutter, milled: times }) => {
      const own = times.filter(({ patch }) => milled.on.patches[patch].kind === kind);
      if (own.length === 0) return [];
      const { passes: passCount, ...time } = totalPassTime(own);
      const { spacingMm, feedMmPerMin } = millPlans(cutter, setup)[kind];
      return [{ cutterId: cutter.id, ...time, spacingMm, feedMmPerMin, passCount }];
    });
  return {
    cutterId: ladder.finisher.id,
    waterline: { ...plan.waterline, cutApart: cutApart.waterline },
    raster: { ...plan.raster, cutApart: cutApart.raster },
    constant: plan.constant,
    floors: millPasses('floor'),
    walls: millPasses('wall'),
  };
}

function planRegions({ regions, borders, raster, stickouts, minutes }: WorkInput): Plan['regions'] {
  return Array.from(regions.areas, (areaMm2, r) => {
    const own = stickouts[r] ?? null;
    const b = [...regions.bounds.subarray(6 * r, 6 * r + 6)];
    return {
      id: r,
      class: CLASSES[regions.classOf[r]],
      areaMm2,
      boundsMm: { min: [b[0], b[1], b[2]], max: [b[3], b[4], b[5]] },
      rasterDirectionDeg: raster.byRegionDeg[r] ?? null,
      cutterId: own?.cutter.id ?? null,
      laterCutterIds: own?.later.map(({ id }) => id) ?? [],
      work: [...minutes.byRegion[r]],
      ...(own ? planStickout(own.stickout) : NO_STICKOUT),
      rings: ringsOfRegion(borders.outlines, r).map((ring) =>
        Array.from({ length: ring.length / 2 }, (_, i): [number, number] => [ring[2 * i], ring[2 * i + 1]]),
      ),
    };
  });
}

function planPatches(
  tight: TightPatches,
  { prepared, setup, probe }: WorkInput,
  cutterFor: Ladder['cutterFor'],
): Plan['reach']['tightRegions'] {
  const top = prepared.health.boundsMm.max[2];
  return tight.patches.map(({ areaMm2, centreMm, boundsMm, reachRadiusMm }, id) => {
    const radius = Math.max(0, reachRadiusMm - setup.stockMm);
    const by = cutterFor(id);
    return {
      id,
      areaMm2,
      centreMm: [...centreMm],
      reachRadiusMm: radius === Infinity ? 'unlimited' : radius,
      boundsMm: { min: triple(boundsMm.min), max: triple(boundsMm.max) },
      depthMm: Math.max(0, top - boundsMm.min[2]),
      cutterId: by?.cutter.id ?? null,
      ...(by ? planStickout(probe.atPatch(by.cutter, tight, id, by.isOwn)) : NO_STICKOUT),
    };
  });
}

function planDeepPlaces({ ladder, prepared }: WorkInput): Plan['reach']['tooDeep'] {
  const top = prepared.health.boundsMm.max[2];
  return ladder.tooDeep.map(({ areaMm2, centreMm, boundsMm, cutter, stickout }, id) => ({
    id,
    areaMm2,
    centreMm: [...centreMm],
    boundsMm: { min: triple(boundsMm.min), max: triple(boundsMm.max) },
    depthMm: Math.max(0, top - boundsMm.min[2]),
    cutterId: cutter.id,
    ...planStickout(stickout),
  }));
}

const triple = (xs: readonly number[]): [number, number, number] => [xs[0], xs[1], xs[2]];

/**
 * The ball radius that the tightest place needs; null: the finishing cutter, which is no ball, reaches
 * everything.
 */
function smallestRadius(
  { tight, leftover, finisher }: Ladder,
  { reachRadii }: ReachAnalysis,
  stockMm: number,
): number | 'unlimited' | null {
  const radii = [...tight.patches, ...leftover.patches].map(({ reachRadiusMm }) => reachRadiusMm);
  if (radii.length === 0) {
    if (cutterShape(finisher) !== 'ball') return null;
    // It reaches everything; the tightest place may well take a larger one.
    radii.push(Math.max(finisher.RE, leastOf(reachRadii) - stockMm));
  }
  const least = Math.min(...radii);
  return least === Infinity ? 'unlimited' : least;
}

const NO_STICKOUT = { stickoutMm: null, exceedsUsable: null, lengthToDiameter: null, deflectionRatio: null };

const planStickout = ({ stickoutMm, exceedsUsable, lengthToDiameter, deflectionRatio }: Stickout) => ({
  stickoutMm,
  exceedsUsable,
  lengthToDiameter,
  deflectionRatio,
});

function planRest(rest: RestWork | null) {
  if (rest === null) return { restAreaMm2: null, restVolumeMm3: null, restGreatestMm: null, restRegions: [] };
  return {
    restAreaMm2: rest.areaMm2,
    restVolumeMm3: rest.volumeMm3,
    restGreatestMm: rest.greatestMm,
    restRegions: rest.patches.map(({ areaMm2, volumeMm3, centreMm, boundsMm, greatestMm }, id) => ({
      id,
      areaMm2,
      volumeMm3,
      centreMm: triple(centreMm),
      boundsMm: { min: triple(boundsMm.min), max: triple(boundsMm.max) },
      greatestMm,
    })),
  };
}

function ladderRungs({ rungs }: Ladder): Plan['ladder'] {
  return rungs.map(
    ({ cutter, role, minutes, savesMinutes, stickout, rest, finishedAreaMm2, leftAreaMm2, without }) => {
      return {
        cutterId: cutter.id,
        DC: cutter.DC,
        RE: cutter.RE,
        stage: 'finish',
        role,
        finishedAreaMm2,
        unreachedAreaMm2: leftAreaMm2,
        ...planRest(rest),
        minutes,
        ...planStickout(stickout),
        stickoutLimitedBy: stickout.limitedBy,
        neckTouches: stickout.neckTouches,
        savesMinutes,
        without: without && { ...without, cutterIds: [...without.cutterIds] },
      };
    },
  );
}

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one object of plain data, a line a key
function cutterFindings({ rungs, finisher, isNested }: Ladder): Finding[] {
  const found = (code: string, severity: Severity, message: string): Finding => ({
    code,
    severity,
    count: 1,
    whereMm: null,
    message,
  });
  return [
    ...(rungs.some(({ cutter }) => cutter.placeholder)
      ? [
          found(
            'cutters.placeholder',
            'warning',
            'The cutters are placeholders of ordinary proportion: give your own ' + 'catalogue.',
          ),
        ]
      : []),
    ...(cutterShape(finisher) !== 'ball'
      ? [
          found(
            'cutters.no-ball',
            'info',
            isNested
              ? 'The catalogue has no straight ball-nose cutter: the ladder is chosen among all that it has.'
              : 'The catalogue has no straight ball-nose cutter: the ladder runs from the largest ' +
                  'cutter to the smallest by what each reaches, and no order by minutes was searched.',
          ),
        ]
      : []),
    ...(finisher.RE === 0
      ? [
          found(
            'passes.flat-end',
            'warning',
            `${finisher.id} has a flat end: the raster is laid for level ground, and leaves ` +
              'stairs on slopes; minutes hold for level ground and upright walls.',
          ),
        ]
      : []),
    ...rungs
      .filter(({ cutter, role }) => cutter.RE === 0 && role === 'rest')
      .map(({ cutter: { id } }) =>
        found(
          'passes.flat-end',
          'warning',
          `${id} has a flat end and leaves stairs on slopes: its minutes are for stairs no higher than the ` +
            'scallop; on level ground and upright walls it takes less.',
        ),
      ),
  ];
}

function leftoverFindings({ leftover, last }: Ladder): Finding[] {
  const { patches } = leftover;
  if (patches.length === 0) return [];
  const area = patches.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);
  return [
    {
      code: 'reach.leftover',
      severity: 'warning',
      count: patches.length,
      whereMm: patches[0].centreMm,
      message:
        `No cutter in the catalogue reaches ${digits(area)} mm² of the machinable surface ` +
        `(smallest: ${last.id}): a smaller cutter, EDM or hand work.`,
    },
  ];
}

function deepFindings({ tooDeep }: Ladder, { mostLengthToDiameter }: Setup): Finding[] {
  if (tooDeep.length === 0) return [];
  const area = tooDeep.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);
  const { cutter, stickout, centreMm } = tooDeep[0];
  return [
    {
      code: 'reach.too-deep',
      severity: 'warning',
      count: tooDeep.length,
      whereMm: centreMm,
      message:
        `${digits(area)} mm² lie too deep for the cutters that fit in: the largest place takes ${cutter.id} sticking ` +
        `out ${digits(stickout.stickoutMm)} mm, ${digits(stickout.lengthToDiameter)} × DC, more than the ` +
        `${mostLengthToDiameter} × DC of the set-up (common practice). Not in the minutes: EDM, or a split part.`,
    },
  ];
}

/** From this length over DC on a cutter bends enough to be warned of (common practice, no source). */
const SLENDER = 5;

/** Cutters of the ladder that are shorter than they must be, and slender ones. */
function stickoutFindings({ rungs }: Ladder, { mostLengthToDiameter }: Setup): Finding[] {
  return rungs.flatMap(({ cutter, stickout }): Finding[] => {
    const { stickoutMm, lengthToDiameter, deflectionRatio, exceedsUsable, neckTouches } = stickout;
    const found: Finding[] = [];
    if (exceedsUsable) {
      found.push({
        code: 'stickout.too-short',
        severity: 'warning',
        count: 1,
        whereMm: null,
        message:
          `${cutter.id} must stick out ${digits(stickoutMm)} mm where it works, its LU is ${cutter.LU} mm: a longer one ` +
          `is needed, L/D ${digits(lengthToDiameter)}, which bends ${digits(deflectionRatio)} times as far as at 3 × DC.`,
      });
    }
    if (!exceedsUsable && lengthToDiameter > SLENDER) {
      found.push({
        code: 'stickout.slender',
        severity: 'warning',
        count: 1,
        whereMm: null,
        message:
          `${cutter.id} must stick out ${digits(stickoutMm)} mm, ${digits(lengthToDiameter)} × DC, and bends ` +
          `${digits(deflectionRatio)} times as far as at 3 × DC; from ${mostLengthToDiameter} × DC on it would not be used.`,
      });
    }
    if (neckTouches) {
      found.push({
        code: 'stickout.neck',
        severity: 'warning',
        count: 1,
        whereMm: null,
        message: `The neck of ${cutter.id}, DN ${cutter.DN} mm, is wider than DC and would touch the part.`,
      });
    }
    return found;
  });
}
