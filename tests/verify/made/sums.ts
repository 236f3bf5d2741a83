/** What must hold of the figures of any survey, whatever the part. */
import { planSchema, type Plan } from '../../../src/plan/plan.js';

/** What must hold, and by how much it does not. */
export interface Break {
  readonly invariant: string;
  readonly detail: string;
}

const sum = (values: Iterable<number>): number => {
  let total = 0;
  for (const value of values) total += value;
  return total;
};

/** Two figures of one thing, to a share of the larger, or to `least`. */
function differ(name: string, found: number, expected: number, share: number, least = 1e-6): Break[] {
  const most = Math.max(least, share * Math.max(Math.abs(found), Math.abs(expected)));
  return Math.abs(found - expected) <= most
    ? []
    : [{ invariant: name, detail: `${found.toPrecision(7)} for ${expected.toPrecision(7)}` }];
}
export { differ };

const MACHINABLE = ['level', 'shallow', 'overlap', 'steep'] as const;
/** mm² */
export const machinableOf = ({ classes }: Plan): number =>
  sum(MACHINABLE.map((name) => classes[name].areaMm2));

/**
 * All that sums must say.
 *
 * @param areaMm2 of the facets of the file, added up
 */
export function sumBreaks(plan: Plan, areaMm2: number): Break[] {
  return [
    ...schemaBreaks(plan),
    ...areaBreaks(plan, areaMm2),
    ...ladderBreaks(plan),
    ...leftBreaks(plan),
    ...radiusBreaks(plan),
    ...stageBreaks(plan),
    ...minuteBreaks(plan),
  ];
}

function schemaBreaks(plan: Plan): Break[] {
  const { success, error } = planSchema.safeParse(plan);
  return success
    ? []
    : [{ invariant: 'schema', detail: error.issues.map(({ path }) => path.join('.')).join(' ') }];
}

function areaBreaks(plan: Plan, areaMm2: number): Break[] {
  const { classes, mesh, regions } = plan;
  const names = Object.keys(classes) as (keyof typeof classes)[];
  return [
    ...differ('area of the mesh', mesh.areaMm2, areaMm2, 1e-6),
    ...differ('areas of classes', sum(names.map((name) => classes[name].areaMm2)), mesh.areaMm2, 1e-9),
    ...names.flatMap((name) => {
      const own = regions.filter((region) => region.class === name);
      return differ(
        `area of regions, ${name}`,
        sum(own.map((one) => one.areaMm2)),
        classes[name].areaMm2,
        1e-9,
      );
    }),
  ];
}

/** What cutters finish, and what the last one leaves, is what is to be machined, less what is drilled. */
function ladderBreaks(plan: Plan): Break[] {
  const { ladder, holes } = plan;
  const drilledMm2 = sum(holes.filter((hole) => hole.isDrilled).map((hole) => hole.areaMm2));
  const lastMm2 = ladder.at(-1)?.unreachedAreaMm2 ?? 0;
  const finishedMm2 = sum(ladder.map(({ finishedAreaMm2 }) => finishedAreaMm2));
  return [
    ...differ('finished and left', finishedMm2 + lastMm2, machinableOf(plan) - drilledMm2, 1e-6),
    ...ladder.flatMap(({ cutterId, finishedAreaMm2 }) =>
      finishedAreaMm2 >= -1e-9 ? [] : [{ invariant: 'finished', detail: `${cutterId} ${finishedAreaMm2}` }],
    ),
  ];
}

/** What no cutter gets into, or would have to stick out too far for, is all that the last one leaves, and is told. */
function leftBreaks(plan: Plan): Break[] {
  const { leftover, tooDeep, crumbs } = plan.reach;
  const areaOf = (list: readonly { readonly areaMm2: number }[]): number =>
    sum(list.map((one) => one.areaMm2));
  const told = (kind: string): number => areaOf(plan.notMilled.filter((place) => place.kind === kind));
  const lastMm2 = plan.ladder.at(-1)?.unreachedAreaMm2 ?? 0;
  const listedMm2 = areaOf(leftover) + areaOf(tooDeep) + crumbs.areaMm2;
  return [
    ...differ('left and listed', lastMm2, listedMm2, 0.01, 1e-4 * machinableOf(plan)),
    ...differ('too tight, told', told('too-tight'), areaOf(leftover), 1e-9),
    ...differ('too deep, told', told('too-deep'), areaOf(tooDeep), 1e-9),
    ...(['undercut', 'hidden'] as const).flatMap((kind) =>
      differ(`${kind}, told`, told(kind), plan.classes[kind].areaMm2, 0.01, 0.05),
    ),
  ];
}

/** A larger ball leaves no less, and never more than there was to take away. */
function radiusBreaks({ reach: { byRadius }, block: { toRemoveMm3 } }: Plan): Break[] {
  const breaks: Break[] = [];
  byRadius.forEach(({ radiusMm, unreachedAreaMm2, restVolumeMm3 }, i) => {
    const say = (invariant: string, detail: string): void =>
      void breaks.push({ invariant, detail: `R ${radiusMm}: ${detail}` });
    const rest = restVolumeMm3 ?? 0,
      before = byRadius[i - 1];
    if (rest < 0) say('rest below 0', `${rest}`);
    // The grid of the stages tells the block to a few per cent where its pitch is coarse.
    if (rest > 1.03 * toRemoveMm3 + 1e-3) say('rest beyond the block', `${rest} of ${toRemoveMm3}`);
    if (!before) return;
    if (unreachedAreaMm2 < before.unreachedAreaMm2 - 1e-9)
      say('unreached falls', `${unreachedAreaMm2} after ${before.unreachedAreaMm2}`);
    // Told from columns drawn for each radius: their own error.
    if (rest < 0.97 * (before.restVolumeMm3 ?? 0) - 1e-3)
      say('rest falls', `${rest} after ${before.restVolumeMm3}`);
  });
  return breaks;
}

/** Block and part differ by what is to be removed; each stage takes from that. */
function stageBreaks({ stages, block, mesh }: Plan): Break[] {
  const { min, max } = block.boundsMm;
  const boxMm3 = (max[0] - min[0]) * (max[1] - min[1]) * (max[2] - min[2]);
  const breaks: Break[] = [];
  // Undercuts stay; walls on the grid are known to a fifth of its pitch.
  const mostMm3 = boxMm3 - (mesh.volumeMm3 ?? 0);
  if (block.toRemoveMm3 > mostMm3 + 0.2 * block.pitchMm * mesh.areaMm2)
    breaks.push({ invariant: 'to remove', detail: `${block.toRemoveMm3} of ${mostMm3}` });
  let [taken, hasMilled] = [0, false];
  for (const { id, kind, volumeMm3, leftMm3, slices } of stages) {
    taken += volumeMm3 ?? 0;
    hasMilled ||= kind === 'floors' || kind === 'walls';
    if (volumeMm3 !== null && volumeMm3 < 0)
      breaks.push({ invariant: 'takes less than 0', detail: `${kind} ${volumeMm3}` });
    // What mills take on floors and walls is not told.
    const known = leftMm3 === null ? null : taken + leftMm3;
    if (known !== null && !(hasMilled && known < block.toRemoveMm3))
      breaks.push(...differ(`taken and left, ${kind} ${id}`, known, block.toRemoveMm3, 1e-6));
    if (slices.length > 0)
      breaks.push(
        ...differ(`slices, ${kind} ${id}`, sum(slices.map((one) => one.volumeMm3)), volumeMm3 ?? NaN, 1e-6),
      );
  }
  return breaks;
}

function minuteBreaks({ regions, ladder, passes, stages, crib, operations, time }: Plan): Break[] {
  const minutes = (list: readonly { readonly minutes: number }[]): number =>
    sum(list.map((one) => one.minutes));
  const finishing = minutes(ladder);
  const work = regions.flatMap((region) => region.work);
  const { waterline, raster, constant, floors, walls } = passes;
  const isMilled = floors.length + walls.length > 0;
  const ofPasses = minutes([waterline, raster, constant, ...floors, ...walls]);
  const ofFirst = minutes(ladder.filter(({ role }) => role !== 'rest'));
  const isFinishing = (kind: string): boolean => !/rough|semi/.test(kind);
  return [
    ...differ('minutes of the ladder', finishing, time.finishingMinutes, 1e-6),
    ...differ('minutes of regions', minutes(work), finishing, 1e-6),
    ...ladder.flatMap(({ cutterId, minutes: own }) =>
      differ(
        `minutes of regions, ${cutterId}`,
        minutes(work.filter((one) => one.cutterId === cutterId)),
        own,
        1e-6,
      ),
    ),
    // Where mills ran before, what the passes' cutter cleans up after them is told of the ladder alone.
    ...(isMilled && ofPasses < ofFirst ? [] : differ('minutes of passes', ofPasses, ofFirst, 1e-6)),
    ...differ(
      'minutes of finishing stages',
      minutes(stages.filter(({ kind }) => isFinishing(kind))),
      finishing,
      1e-6,
    ),
    ...differ('minutes of stages', minutes(stages), operations.cuttingMinutes, 1e-6),
    ...differ('minutes of the crib', minutes(crib), operations.cuttingMinutes, 1e-6),
    ...differ('total', time.finishingMinutes + time.toolChangeMinutes, time.totalMinutes, 1e-9),
    ...differ(
      'total of stages',
      operations.cuttingMinutes + operations.toolChangeMinutes,
      operations.totalMinutes,
      1e-9,
    ),
  ];
}
