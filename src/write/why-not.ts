import { figure } from '../core/figures.js';
import { LEFT_OUT_REASONS, type LeftOutReason, type Plan } from '../plan/plan.js';
import {
  areaText,
  htmlTable,
  lists,
  minutesText,
  numbers,
  shown,
  words,
  wrappable,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';
import { wrapText } from './text-table.js';

const text = TEXT.report.choice,
  { heads } = TEXT.report.tables;

type Choice = Pick<Plan, 'ladder' | 'ladderOneMore' | 'ladderLeftOut'>;
type Without = NonNullable<Plan['ladder'][number]['without']>;

/** `0.1 min more`, `3 min less`. */
export const differs = (minutes: number, told: (minutes: number) => string): string =>
  minutes < 0 ? text.less(told(-minutes)) : text.more(told(minutes));

/** Cutters that a ladder without one of its own takes besides those that it has left. */
export const taken = ({ cutterIds }: Without, ladder: Choice['ladder']): readonly string[] =>
  cutterIds.filter((id) => !ladder.some(({ cutterId }) => cutterId === id));

/** How each group of cutters that are not used is told of on the terminal. */
const SHORT: Readonly<Record<LeftOutReason, string>> = {
  'saves-too-little': 'save too little; the job with them, min',
  'reaches-nothing-more': 'reach nothing more',
  'too-slender': 'too slender where needed',
  barred: 'too short where needed',
  'below-first-share': 'reach too little to begin',
  'same-radius': 'have the radius of another',
  'no-ball': 'no ball, or nothing for them to do',
  'not-for-finishing': 'not meant for finishing',
};

/** On the terminal: what the best ladder without each cutter, or with one more, changes, and why the others are not used. */
export function whyNotLines({ ladder, ladderOneMore, ladderLeftOut }: Choice, width: number): string[] {
  const signed = (minutes: number): string => {
    const told = figure(Math.abs(minutes), 1);
    return Number.isNaN(Number(told)) ? told : `${minutes < 0 ? '-' : '+'}${told}`;
  };
  const fewer = ladder.flatMap(({ cutterId, without }) => {
    if (without === null) return [];
    const left = without.leftAreaMm2 > 0 ? ` (${figure(without.leftAreaMm2, 1)} mm² more left)` : '';
    return [`${cutterId} ${signed(without.extraMinutes)}${left}`];
  });
  const change = [
    ...(ladder.length > 1 && fewer.length > 0
      ? [`the best ladder without one, min: ${fewer.join(', ')}`]
      : []),
    ...(ladderOneMore === null
      ? []
      : [`these and one more: ${ladderOneMore.cutterId} ${signed(ladderOneMore.extraMinutes)}`]),
  ];
  const unused = LEFT_OUT_REASONS.flatMap((reason) => {
    const own = ladderLeftOut.filter((one) => one.reason === reason);
    if (own.length === 0) return [];
    const told = own.map(({ cutterId, extraMinutes }) =>
      reason === 'saves-too-little' && extraMinutes !== null
        ? `${cutterId} ${signed(extraMinutes)}`
        : cutterId,
    );
    return [`not used, ${SHORT[reason]}: ${told.join(', ')}`];
  });
  const lines = [...(change.length > 0 ? [change.join('; ')] : []), ...unused];
  return lines.flatMap((line) => wrapText(line, width, '  '));
}

/** What the ladder would be without each of its cutters, with one more, and why the others are not in it. */
export function choiceHtml(plan: Choice): string {
  const { ladderOneMore } = plan;
  const more =
    ladderOneMore === null
      ? ''
      : `<p>${xmlText(text.oneMore(ladderOneMore.cutterId, differs(ladderOneMore.extraMinutes, minutesText)))}</p>`;
  return `${fewerTable(plan)}${more}${unusedTable(plan)}`;
}

function fewerTable({ ladder }: Choice): string {
  const rows = ladder.flatMap(({ cutterId, without }) => (without === null ? [] : [{ cutterId, without }]));
  if (ladder.length < 2 || rows.length === 0) return '';
  return htmlTable(text.fewer, rows, [
    words(heads.cutter, ({ cutterId }) => xmlText(cutterId)),
    numbers(text.job, ({ without }) => differs(without.extraMinutes, minutesText)),
    numbers(text.leftMore, ({ without }) => areaText(without.leftAreaMm2)),
    numbers(heads.restVolume, ({ without: { leftVolumeMm3 } }) =>
      leftVolumeMm3 === null ? TEXT.report.notComputed : `${shown(leftVolumeMm3, 1)} mm³`,
    ),
    words(text.instead, ({ without }) => xmlText(taken(without, ladder).join(', ') || '–')),
  ]);
}

function unusedTable({ ladderLeftOut }: Choice): string {
  if (ladderLeftOut.length === 0) return '';
  return htmlTable(text.unused, ladderLeftOut, [
    words(heads.cutter, ({ cutterId }) => xmlText(cutterId)),
    lists(text.why, ({ reason, detail }) => wrappable(`${text.reasons[reason]}: ${detail}`)),
    numbers(text.job, ({ extraMinutes }) =>
      extraMinutes === null ? '–' : differs(extraMinutes, minutesText),
    ),
  ]);
}
