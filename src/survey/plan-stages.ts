import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import type { Ladder } from './choose-ladder.js';
import { workOf, type CutterArea } from './cutter-areas.js';
import type { PassLayout } from './pass-layout.js';
import { restPlan } from './ladder-times.js';
import { areMillsFirst } from './next-stages.js';
import { pointsOf } from './stage-walk.js';
import type { EarlyStages } from './stages.js';

type PlanStage = Plan['stages'][number];
/** A stage but for its place among the others. */
type Row = Omit<PlanStage, 'id' | 'beforeCutterId'>;
type Told = Pick<Plan, 'regions' | 'ladder' | 'passes'>;

export interface PlanStagesInput {
  readonly early: EarlyStages;
  readonly cutterAreas: readonly CutterArea[];
  readonly ladder: Ladder;
  readonly setup: Setup;
  readonly layout: PassLayout;
}

/** All stages in order, those of finishing as ladder and passes tell them, with what the crib must give out. */
export function planStages(
  input: PlanStagesInput,
  told: Told,
): Pick<Plan, 'block' | 'stages' | 'crib' | 'operations'> {
  const { early, cutterAreas, setup } = input;
  const before = early.stages.map(
    ({ cutter: _, ...stage }): Row => ({
      ...stage,
      rings: stageRings(cutterAreas, stage.cutterId, stage.kind),
      regionIds: stage.kind === 'semi-finish' ? machinedRegions(told.regions) : [],
    }),
  );
  const [mills, others] = [true, false].map((is) =>
    told.ladder.flatMap((rung, i) =>
      (rung.role === 'floors and walls') === is ? finishingRows(input, told, rung, i) : [],
    ),
  );
  const [semi, rough] = [true, false].map((is) =>
    before.filter(({ kind }) => kind.startsWith('semi') === is),
  );
  const rows = [...rough, ...(areMillsFirst(setup) ? [...mills, ...semi] : [...semi, ...mills]), ...others];
  const stages = rows.map(
    (row, id): PlanStage => ({ id, ...row, beforeCutterId: rows[id - 1]?.cutterId ?? null }),
  );
  const toolChanges = stages.filter(({ cutterId, beforeCutterId }) => cutterId !== beforeCutterId).length;
  const cuttingMinutes = stages.reduce((sum, { minutes }) => sum + minutes, 0),
    toolChangeMinutes = (toolChanges * setup.machine.toolChangeSeconds) / 60;
  return {
    block: early.block,
    stages,
    crib: cribOf(stages),
    operations: {
      cuttingMinutes,
      toolChanges,
      toolChangeMinutes,
      totalMinutes: cuttingMinutes + toolChangeMinutes,
    },
  };
}

/** Rings of the surface or stock that a cutter is on in a stage. */
const stageRings = (
  areas: readonly CutterArea[],
  cutterId: string,
  kind: PlanStage['kind'],
): PlanStage['rings'] =>
  areas
    .filter(({ cutter, work }) => cutter.id === cutterId && work === workOf(kind))
    .flatMap(({ outlines }) => outlines.contact.map(pointsOf));

const machinedRegions = (regions: Told['regions']): number[] =>
  regions.filter(({ cutterId }) => cutterId !== null).map(({ id }) => id);

/** What one cutter of the ladder does: floors, walls, both passes, corners. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one row after the other, in the order of the work.
function finishingRows(
  { early, cutterAreas, ladder, setup, layout }: PlanStagesInput,
  { regions, passes }: Told,
  rung: Told['ladder'][number],
  at: number,
): Row[] {
  const { cutterId, DC, RE, stickoutMm, exceedsUsable, lengthToDiameter, deflectionRatio } = rung;
  const regionsOf = (work: string): number[] =>
    regions
      .filter((region) => region.work.some((one) => one.cutterId === cutterId && one.pass === work))
      .map(({ id }) => id);
  const row = (
    kind: Row['kind'],
    own: Pick<Row, 'stepoverMm' | 'stepdownMm' | 'feedMmPerMin' | 'areaMm2' | 'minutes'> & Partial<Row>,
  ): Row => ({
    kind,
    cutterId,
    DC,
    RE,
    blendShare: null,
    stockLeftMm: setup.stockMm,
    removalRateMm3PerMin: null,
    volumeMm3: null,
    leftMm3: null,
    slices: [],
    meets: null,
    rings: stageRings(cutterAreas, cutterId, kind),
    regionIds: regionsOf(workOf(kind)),
    stickoutMm,
    exceedsUsable,
    lengthToDiameter,
    deflectionRatio,
    ...own,
  });
  const met = early.finishMeets.get(cutterId),
    meets = met?.elsewhere ?? null;
  const rows: Row[] = [];
  for (const kind of ['floors', 'walls'] as const) {
    for (const pass of passes[kind].filter((one) => one.cutterId === cutterId)) {
      const isFloor = kind === 'floors',
        { spacingMm, feedMmPerMin, areaMm2, minutes } = pass;
      rows.push(
        row(kind, {
          stepoverMm: isFloor ? spacingMm : null,
          stepdownMm: isFloor ? null : spacingMm,
          feedMmPerMin,
          areaMm2,
          minutes,
          meets: met?.[kind] ?? null,
        }),
      );
    }
  }
  if (rung.role === 'passes') {
    const { waterline, raster, constant } = passes;
    rows.push(
      row('waterline', { ...steps(null, waterline), meets }),
      row('raster', { ...steps(raster.spacingMm, raster), meets }),
      row('constant', { ...steps(constant.spacingMm, constant), meets }),
    );
  }
  // Rest of mills is in the rows of floors and walls.
  if (rung.role !== 'floors and walls' && ladder.rungs[at].rest !== null) {
    const minutes = rung.minutes - rows.reduce((sum, own) => sum + own.minutes, 0);
    const { spacingMm, feedMmPerMin } = restPlan(ladder.rungs[at].cutter, setup, layout);
    rows.push(
      row('corners', {
        stepoverMm: spacingMm,
        stepdownMm: null,
        feedMmPerMin,
        areaMm2: rung.restAreaMm2 ?? 0,
        blendShare: setup.blendShare,
        minutes,
        meets,
      }),
    );
  }
  return rows.filter((own) => own.minutes > 0);
}

const steps = (stepoverMm: number | null, pass: Told['passes']['constant']) => ({
  stepoverMm,
  stepdownMm: stepoverMm === null ? pass.spacingMm : null,
  feedMmPerMin: pass.feedMmPerMin,
  areaMm2: pass.areaMm2,
  minutes: pass.minutes,
});

/** Each cutter once, in order of first use, as long out of its holder as its most demanding stage needs. */
function cribOf(stages: readonly PlanStage[]): Plan['crib'][number][] {
  return [...new Set(stages.map(({ cutterId }) => cutterId))].map((cutterId) => {
    const own = stages.filter((stage) => stage.cutterId === cutterId);
    const longest = own.reduce((most, stage) =>
      (stage.stickoutMm ?? 0) > (most.stickoutMm ?? 0) ? stage : most,
    );
    return {
      cutterId,
      DC: longest.DC,
      RE: longest.RE,
      stickoutMm: longest.stickoutMm,
      exceedsUsable: longest.exceedsUsable,
      stageIds: own.map(({ id }) => id),
      minutes: own.reduce((sum, { minutes }) => sum + minutes, 0),
    };
  });
}
