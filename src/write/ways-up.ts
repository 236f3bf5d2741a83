import { figure, significant } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';
import { htmlTable, lengthText, minutesText, numbers, shown, words } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { wrapText } from './text-table.js';
import { xmlText } from './svg-text.js';

const text = TEXT.report.tables,
  { heads } = text;

/** A coarse look is known to no more than three digits, and to a tenth: without and with groups of digits apart. */
const mm2 = (area: number): string => `${figure(significant(area, 3), 1)} mm²`,
  coarseText = (area: number): string => `${shown(significant(area, 3), 1)} mm²`;

/** On the terminal: the best way up, the one surveyed where that is another, and what a second set-up adds. */
export function wayUpLines({ waysUp }: Pick<Plan, 'waysUp'>, width: number): string[] {
  const { ways, surveyed, toCutMm2 } = waysUp;
  const [best] = ways,
    own = ways[surveyed];
  if (toCutMm2 === 0) return [];
  const as =
    surveyed === 0
      ? `${best.name} as surveyed`
      : `as surveyed, ${own.name}, ${mm2(own.cutMm2)}, ${best.name}`;
  const line =
    `way up: ${as} cuts most, ${mm2(best.cutMm2)} of ${mm2(toCutMm2)} that differ from the block. ` +
    secondText(waysUp, mm2);
  return wrapText(line, width, '  ');
}

/** Less area than this is not told of, mm². */
const LEAST_TOLD_MM2 = 0.05;

/** What the best two set-ups reach together, and what neither does. */
const secondText = ({ ways, second, toCutMm2 }: Plan['waysUp'], area: (mm2: number) => string): string =>
  second === null
    ? toCutMm2 - ways[0].cutMm2 < LEAST_TOLD_MM2
      ? text.allFromOne
      : text.noSecond(area(toCutMm2 - ways[0].cutMm2))
    : second.neitherMm2 < LEAST_TOLD_MM2
      ? text.secondDoesAll(ways[second.way].name)
      : text.second(ways[second.way].name, area(second.togetherMm2), area(second.neitherMm2));

/** The ways up with what each makes, the best first. */
export function waysTable({ waysUp }: Plan): string {
  const { ways, surveyed, cutterId, toCutMm2 } = waysUp;
  const isNote = (i: number): string => (i === surveyed ? text.asSurveyed : '');
  return `<div class="no-print">${htmlTable(text.ways(coarseText(toCutMm2)), ways, [
    words(heads.up, ({ name }, i) => xmlText(name + isNote(i))),
    numbers(heads.cuts, ({ cutMm2 }) => coarseText(cutMm2)),
    numbers(heads.undercut, ({ undercutMm2 }) => coarseText(undercutMm2)),
    numbers(heads.hidden, ({ hiddenMm2 }) => coarseText(hiddenMm2)),
    numbers(heads.stickoutAtMost, ({ stickoutMm }) =>
      stickoutMm === null ? '–' : lengthText(stickoutMm, 1),
    ),
    numbers(heads.time, ({ minutes }) => minutesText(minutes)),
  ])}<p class="hint">${xmlText(`${secondText(waysUp, coarseText)} ${text.waysHint(cutterId)}`)}</p></div>`;
}
