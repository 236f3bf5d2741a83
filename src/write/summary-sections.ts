import { hasPasses, stepRange } from './step-words.js';
import { CLASSES, MACHINABLE_CLASSES } from '../core/classes.js';
import { digits, figure } from '../core/figures.js';
import type { Plan, WorkAnswers } from '../plan/plan.js';
import { overlapWords } from './overlap-words.js';
import { ballWords, tightestPlace, tightName } from './place-names.js';
import { TEXT } from './report-text.js';
import { textTable, wrapText } from './text-table.js';
import { differs, whyNotLines } from './why-not.js';
import { wearWords } from './wear-words.js';

const MOST_LINES = 4;

/** Areas and regions of each class. */
export function surfaceLines({ classes, mesh }: Pick<Plan, 'classes' | 'mesh'>): string[] {
  const rows = CLASSES.filter((name, i) => i < MACHINABLE_CLASSES || classes[name].areaMm2 > 0).map(
    (name) => {
      const { areaMm2, regions } = classes[name];
      const share = mesh.areaMm2 > 0 ? (100 * areaMm2) / mesh.areaMm2 : 0;
      return [name, `${figure(areaMm2, 1)} mm²`, `${figure(share, 1)} %`, counted(regions, 'region')];
    },
  );
  return textTable(rows, ['left', 'right', 'right', 'right']);
}

/** The split, and the passes. */
export function splitLines(plan: WorkAnswers, width: number): string[] {
  const { setup, split, passes } = plan,
    isCut = hasPasses(plan);
  const hints = [
    split.equalScallopDeg === null ? [] : [`equal scallops at ${figure(split.equalScallopDeg, 1)} deg`],
    split.fastestDeg === null || !isCut ? [] : [`fastest at ${figure(split.fastestDeg, 1)} deg`],
  ].flat();
  const note = hints.length === 0 ? '' : ` (${hints.join(', ')})`;
  const { overlap } = overlapWords({ setup, split }, ' deg');
  return [
    ...wrapText(`${figure(split.angleDeg, 1)} deg, overlap ${overlap}${note}`, width, '  '),
    ...(isCut ? gainLine(split, width) : []),
    ...wrapText(
      isCut
        ? `passes of ${passes.cutterId}, over what it reaches; raster along ` +
            `${figure(passes.raster.directionDeg, 1)} deg, steps in mm:`
        : 'steps in mm:',
      width,
      '  ',
    ),
    ...textTable(
      [...ballRows(plan), ...millRows(plan)],
      ['left', 'left', 'right', 'right', 'right', 'right'],
      width,
    ),
  ];
}

type PassFigures = Pick<Plan['passes']['raster'], 'areaMm2' | 'spacingMm' | 'pathLengthMm' | 'minutes'> & {
  readonly widestSpacingMm?: number;
};
const passRow = (name: string, range: string, step: string, pass: PassFigures): string[] => [
  name,
  range,
  `${figure(pass.areaMm2, 1)} mm²`,
  // A line of 80 columns has no room for more.
  `${step} ${stepRange(pass, (mm) => figure(mm, 3), '-')}`,
  `${figure(pass.pathLengthMm / 1000, 1)} m`,
  `${figure(pass.minutes, 1)} min`,
];

/** Waterline and raster, as far as they have anything to do. */
const ballRows = ({ setup, split, passes: { waterline, raster, constant } }: WorkAnswers): string[][] => [
  ...(waterline.areaMm2 > 0
    ? [passRow('waterline', `from ${figure(split.angleDeg, 1)} deg`, 'down', waterline)]
    : []),
  ...(raster.areaMm2 > 0
    ? [passRow('raster', `to ${overlapWords({ setup, split }, ' deg').end}`, 'over', raster)]
    : []),
  ...(constant.areaMm2 > 0 ? [passRow('constant', 'curved', 'over', constant)] : []),
];

const millRows = ({ passes: { floors, walls } }: WorkAnswers): string[][] => [
  ...floors.map((pass) => passRow('floors', `of ${pass.cutterId}`, 'over', pass)),
  ...walls.map((pass) => passRow('walls', `of ${pass.cutterId}`, 'down', pass)),
];

/** How long the cutting alone takes otherwise than at the fastest split. */
function gainLine(
  { fastestDeg, gain: { over45, overWaterline, overRaster } }: Plan['split'],
  width: number,
): string[] {
  if (fastestDeg === null) return [];
  const against = (share: number | null, what: string): string[] => {
    if (share === null || share < 0.005) return [];
    const times = 1 / (1 - share);
    return [`${what} ${times > MOST_TIMES ? `over ${MOST_TIMES}` : figure(times, 2)} times as long`];
  };
  const parts = [
    ...(fastestDeg === 45 ? [] : against(over45.share, 'at 45 deg')),
    ...against(overWaterline.share, 'one waterline for everything'),
    ...against(overRaster.share, 'one raster for everything'),
  ];
  return parts.length === 0
    ? []
    : wrapText(`cutting alone, against the fastest split: ${parts.join(', ')}`, width, '  ');
}

/** More than that is no plan, whatever the figure. */
const MOST_TIMES = 10;

const LADDER_HEADS = ['', 'cutter', 'DC', 'RE', 'finishes, mm²', 'leaves, mm²', 'stickout, mm', 'min'];

/** The cutters, what each has to clean, and the tightest place. */
export function ladderLines(
  plan: Pick<WorkAnswers, 'ladder' | 'ladderSecond' | 'ladderOneMore' | 'ladderLeftOut' | 'reach'>,
  width: number,
): string[] {
  const { ladder, ladderSecond, reach } = plan;
  const rows = ladder.map((rung, i) => [
    `${i + 1}`,
    rung.cutterId,
    `${rung.DC}`,
    `${rung.RE}`,
    figure(rung.finishedAreaMm2, 1),
    figure(rung.unreachedAreaMm2, 1),
    rung.stickoutMm === null
      ? 'not computed'
      : `${figure(rung.stickoutMm, 1)}${rung.exceedsUsable ? `, ${TEXT.report.tables.aboveUsable}` : ''}`,
    figure(rung.minutes, 1),
  ]);
  const need = tightestLine(reach, width);
  if (rows.length === 0) return ['  none: no cutter of the catalogue reaches anything', ...need];
  return [
    ...textTable(
      [LADDER_HEADS, ...rows],
      ['right', 'left', 'right', 'right', 'right', 'right', 'right', 'right'],
      width,
    ),
    ...secondLine(ladderSecond, width),
    ...whyNotLines(plan, width),
    ...restLines(ladder, width),
    ...need,
  ];
}

function secondLine(second: Plan['ladderSecond'], width: number): string[] {
  if (second === null) return [];
  const line = `next best: ${second.cutterIds.join(', ')}, ${differs(second.extraMinutes, (own) => `${figure(own, 1)} min`)}`;
  return wrapText(line, width, '  ');
}

function tightestLine(reach: WorkAnswers['reach'], width: number): string[] {
  if (reach.smallestRadiusMm === null) return [];
  const place = tightestPlace(reach);
  const at = place === null ? '' : `, ${tightName(place)} at ${pointWords(place.centreMm)}`;
  return wrapText(`tightest place: ${radiusNeed(reach.smallestRadiusMm)}${at}`, width, '  ');
}

export const pointWords = (point: readonly number[]): string =>
  point.map((value) => figure(Math.round(10 * value) / 10, 1)).join(' ');

/** What each cutter after the first has to clean. */
function restLines(ladder: Plan['ladder'], width: number): string[] {
  return ladder.flatMap(({ cutterId, restAreaMm2, restVolumeMm3, restGreatestMm, restRegions }, i) => {
    if (restAreaMm2 === null) return [];
    const volume = restVolumeMm3 === null ? '' : `, ${figure(restVolumeMm3, 1)} mm³`;
    const thickness = restGreatestMm === null ? '' : `, to ${figure(restGreatestMm, 2)} mm thick`;
    return wrapText(
      `${cutterId} cleans after ${ladder[i - 1].cutterId}: ${figure(restAreaMm2, 1)} mm² in ` +
        `${counted(restRegions.length, 'place')}${volume}${thickness}`,
      width,
      '  ',
    );
  });
}

const radiusNeed = (radiusMm: number | 'unlimited'): string =>
  ballWords(radiusMm, (mm) => `ball radius ${figure(mm, 3)} mm`) +
  (radiusMm === 0 ? ' fits, as in a sharp corner or beside an overhang' : '');

/** Minutes with and without set-up, and cost. */
export function timeLines(
  { time, ladder, setup }: Pick<Plan, 'time' | 'ladder' | 'setup'>,
  width: number,
): string[] {
  const { setUpMinutes } = time;
  const money = time.currency === '' ? '' : ` ${time.currency}`;
  const all = (minutes: number): number => minutes + setUpMinutes;
  const lines = [
    `${figure(time.lowMinutes, 1)} to ${figure(time.highMinutes, 1)} min, likely ${figure(time.totalMinutes, 1)} min: ` +
      `finishing ${figure(time.finishingMinutes, 1)} min, tool changes ${figure(time.toolChangeMinutes, 1)} min`,
    `with ${figure(setUpMinutes, 1)} min of set-up: ${figure(all(time.lowMinutes), 1)} to ` +
      `${figure(all(time.highMinutes), 1)} min, likely ${figure(all(time.totalMinutes), 1)} min`,
    ...(time.cost === null
      ? []
      : [
          `cost ${digits(time.lowCost)} to ${digits(time.highCost)}${money}, likely ${digits(time.cost)}, ` +
            `at ${figure(setup.machine.hourlyRate, 2)} an hour, set-up in it, ${wearWords({ ladder, setup })}`,
        ]),
    `Range: ${time.rangeBasis}.`,
    ...time.assumptions.slice(0, 1),
  ];
  return lines.flatMap((line) => wrapText(line, width, '  '));
}

/** At most a page's worth of lines, a line each of what the word tells. */
export function capped(lines: readonly string[], what: string): string[] {
  if (lines.length <= MOST_LINES) return [...lines];
  const more = counted(lines.length - MOST_LINES, `more ${what}`);
  return [...lines.slice(0, MOST_LINES), `  and ${more}: see plan.json`];
}

/** `1 place`, `2 places`. */
export const counted = (amount: number, word: string): string =>
  `${amount} ${word}${amount === 1 ? '' : 's'}`;
