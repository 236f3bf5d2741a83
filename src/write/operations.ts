import { figure } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';
import { barTimeline } from './report-charts.js';
import {
  areaText,
  htmlTable,
  lengthText,
  minutesText,
  numbers,
  shown,
  thicknessText,
  words,
} from './report-numbers.js';
import { stickoutText } from './report-tables.js';
import { TEXT } from './report-text.js';
import { stepRange } from './step-words.js';
import { counted } from './summary-sections.js';
import { xmlText } from './svg-text.js';
import { wrapText } from './text-table.js';

type Stage = Plan['stages'][number];

const text = TEXT.report.operations,
  { heads } = TEXT.report.tables;

/** How people call a stage; floors and walls as the others. */
const stageName = ({ kind }: Stage): string => text.kinds[kind];

/** The sheet of operations: all stages, their minutes along one line, and the cutters to pull. */
export function operationsHtml(plan: Plan): string {
  return `<p class="hint">${xmlText(blockWords(plan))}</p>
${stageTable(plan)}
<figure><figcaption>${xmlText(text.timeline)}</figcaption><div class="scroll" tabindex="0" role="group" aria-label="${xmlText(text.timeline)}">${timeline(plan)}</div></figure>
${cribTable(plan)}
<p class="hint">${xmlText(text.hint(lengthText(plan.block.pitchMm, 2)))}</p>`;
}

function blockWords({ block: { kind, boundsMm, toRemoveMm3 } }: Plan): string {
  const size = boundsMm.max.map((high, k) => shown(high - boundsMm.min[k], 2)).join(' × ');
  return text.block(text.blocks[kind], `${size} mm`, `${shown(toRemoveMm3, 0)} mm³`);
}

const stageTable = (plan: Plan): string =>
  htmlTable(text.table(minutesText(plan.operations.totalMinutes)), plan.stages, [
    words(text.heads.stage, (stage) => `${stage.id + 1}. ${xmlText(stageName(stage))}`),
    words(heads.cutter, ({ cutterId }) => xmlText(cutterId)),
    numbers(heads.time, ({ minutes }) => minutesText(minutes)),
    numbers(text.heads.stock, ({ stockLeftMm }) => lengthText(stockLeftMm, 3)),
    words(heads.step, (stage) => xmlText(stepsText(stage, plan.passes))),
    numbers(text.heads.takes, (stage) =>
      stage.volumeMm3 === null ? '–' : `${shown(stage.volumeMm3, 0)} mm³`,
    ),
    numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
    numbers(text.heads.meets, ({ meets }) => (meets === null ? '–' : thicknessText(meets.greatestMm))),
    numbers(text.heads.mean, ({ meets }) => (meets === null ? '–' : thicknessText(meets.meanMm))),
    numbers(heads.leastStickout, stickoutText),
  ]);

function stepsText({ kind, stepoverMm, stepdownMm }: Stage, passes: Plan['passes']): string {
  const inPieces = kind === 'waterline' || kind === 'raster' || kind === 'constant' ? passes[kind] : {};
  const range = (spacingMm: number): string => stepRange({ ...inPieces, spacingMm }, (mm) => shown(mm, 3));
  return [
    ...(stepoverMm === null ? [] : [`${text.over} ${range(stepoverMm)}`]),
    ...(stepdownMm === null ? [] : [`${text.down} ${range(stepdownMm)}`]),
  ].join(', ');
}

function timeline({ stages, operations }: Plan): string {
  const changeMinutes = operations.toolChangeMinutes / Math.max(1, operations.toolChanges);
  let at = 0;
  const bars = stages.map((stage) => {
    if (stage.cutterId !== stage.beforeCutterId) at += changeMinutes;
    const from = at;
    at += stage.minutes;
    return { label: `${stageName(stage)}, ${stage.cutterId}`, from, to: at };
  });
  return barTimeline(
    {
      id: 'c-operations',
      title: text.timeline,
      description: text.described(minutesText(operations.totalMinutes), operations.toolChanges),
      across: 'min',
    },
    bars,
  );
}

const cribTable = ({ crib }: Plan): string =>
  htmlTable(text.crib, crib, [
    words(heads.cutter, ({ cutterId }) => xmlText(cutterId)),
    numbers('DC', ({ DC }) => shown(DC, 3)),
    numbers('RE', ({ RE }) => shown(RE, 3)),
    numbers(text.heads.out, stickoutText),
    words(text.heads.stages, ({ stageIds }) => stageIds.map((id) => id + 1).join(', ')),
    numbers(heads.time, ({ minutes }) => minutesText(minutes)),
  ]);

const EARLY: readonly (readonly [string, readonly Stage['kind'][]])[] = [
  ['roughing', ['rough', 'rest-rough']],
  ['semi-finishing', ['semi-finish', 'semi-corners']],
];

/** All stages in a few lines: the block, roughing, semi-finishing, the whole. */
export function operationLines(
  { block, stages, operations }: Pick<Plan, 'block' | 'stages' | 'operations'>,
  width: number,
): string[] {
  const size = block.boundsMm.max.map((high, k) => figure(high - block.boundsMm.min[k], 2)).join(' x ');
  const early = EARLY.flatMap(([name, kinds]) => {
    const own = stages.filter(({ kind }) => kinds.includes(kind));
    if (own.length === 0) return [];
    const minutes = own.reduce((sum, stage) => sum + stage.minutes, 0),
      volume = own.reduce((sum, stage) => sum + (stage.volumeMm3 ?? 0), 0),
      cutters = own.map(({ cutterId }) => cutterId).join(', ');
    return [
      `${name}, ${cutters}: ${figure(minutes, 1)} min, ${figure(volume, 0)} mm³, leaves ` +
        `${figure(own[own.length - 1].stockLeftMm, 3)} mm`,
    ];
  });
  const finishing = stages.filter(({ kind }) => !EARLY.some(([, kinds]) => kinds.includes(kind)));
  const all = [
    `finishing as above: ${figure(
      finishing.reduce((sum, { minutes }) => sum + minutes, 0),
      1,
    )} min; ${counted(operations.toolChanges, 'tool change')} ${figure(operations.toolChangeMinutes, 1)} min`,
    `in all ${figure(operations.totalMinutes, 1)} min, off a ${block.kind} of ${size} mm`,
  ];
  return [...early, ...all].flatMap((line) => wrapText(line, width, '  '));
}
