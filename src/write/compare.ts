import { digits } from '../core/figures.js';
import { OPTIONS, optionRow, type OptionKey } from '../options.js';
import type { Plan } from '../plan/plan.js';
import { machineTitles } from '../time/machine.js';
import {
  areaText,
  htmlTable,
  minutesText,
  numbers,
  radiusText,
  shown,
  words as inWords,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const words = TEXT.compare;

/** One thing that both plans tell of. */
interface Row {
  readonly name: string;
  readonly kept: string;
  readonly now: string;
  readonly difference: string;
}

/** Two plans side by side: in a sentence, figure by figure, and where their set-ups differ. HTML. */
export function comparisonHtml(kept: Plan, now: Plan): string {
  const table = (caption: string, rows: readonly Row[], head: string): string =>
    htmlTable(caption, rows, [
      inWords(head, ({ name }) => xmlText(name)),
      numbers(words.kept, (row) => entries(row.kept)),
      numbers(words.now, (row) => entries(row.now)),
      ...(rows.some(({ difference }) => difference !== '')
        ? [numbers<Row>(words.difference, ({ difference }) => entries(difference))]
        : []),
    ]);
  const options = optionRows(kept, now);
  const isSame = kept.source.sha256 === now.source.sha256;
  return (
    `<p class="lead">${xmlText(sentence(kept, now))}</p>` +
    `${isSame ? '' : `<p class="hint">${xmlText(words.otherPart(kept.source.name, now.source.name))}</p>`}` +
    `<div class="two">${table(words.figures, figureRows(kept, now), words.what)}` +
    `${options.length === 0 ? `<p>${words.sameOptions}</p>` : table(words.options(options.length), options, words.option)}</div>`
  );
}

/** A value that may be broken between the entries of a list alone. */
const entries = (value: string): string =>
  value
    .split(', ')
    .map((entry) => `<span>${xmlText(entry)}</span>`)
    .join(', ');

const total = (places: readonly { readonly areaMm2: number }[]): number =>
  places.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);

function sentence(kept: Plan, now: Plan): string {
  const minutes = (of: (plan: Plan) => number): string => {
    const more = of(now) - of(kept);
    return isSame(more, of(kept))
      ? words.asLong
      : (more < 0 ? words.less : words.more)(minutesText(Math.abs(more)));
  };
  const left = total(now.notMilled) - total(kept.notMilled);
  return words.sentence(
    minutes(({ time }) => time.totalMinutes),
    minutes(({ operations }) => operations.totalMinutes),
    isSame(left, total(kept.notMilled))
      ? words.asMuch
      : (left < 0 ? words.less : words.more)(areaText(Math.abs(left))),
  );
}

/** What is no more than the last digit shown is no difference. */
const isSame = (difference: number, of: number): boolean => Math.abs(difference) < Math.max(0.05, 1e-4 * of);

/** A figure, or words, that any plan tells. */
type Told =
  | readonly [name: string, words: (plan: Plan) => string]
  | readonly [name: string, of: (plan: Plan) => number | null, text: (value: number, plan: Plan) => string];

const count = (value: number): string => shown(value, 0);
const ids = (list: readonly { readonly cutterId: string }[]): string =>
  list.map(({ cutterId }) => cutterId).join(', ') || TEXT.report.none;

const TOLD: readonly Told[] = [
  [TEXT.report.total, ({ time }) => time.totalMinutes, minutesText],
  [words.operations, ({ operations }) => operations.totalMinutes, minutesText],
  [
    TEXT.report.costName,
    ({ time }) => time.cost,
    (cost, { time }) => `${digits(cost)} ${time.currency}`.trim(),
  ],
  [words.ladder, ({ ladder }) => ids(ladder)],
  [words.crib, ({ crib }) => ids(crib)],
  [words.smallest, ({ ladder }) => least(ladder.map(({ DC }) => DC)), (mm) => `${shown(mm, 3)} mm`],
  [TEXT.report.split, ({ split }) => `${shown(split.angleDeg, 1)}°`],
  [TEXT.report.tightest, ({ reach }) => radiusText(reach.smallestRadiusMm)],
  [words.tight, ({ reach }) => reach.tightRegions.length, count],
  [words.area, ({ reach }) => total(reach.tightRegions), areaText],
  [words.notMilled, ({ notMilled }) => notMilled.length, count],
  [words.area, ({ notMilled }) => total(notMilled), areaText],
  [words.warnings, ({ findings }) => findings.filter(({ severity }) => severity !== 'info').length, count],
];

const figureRows = (kept: Plan, now: Plan): Row[] =>
  TOLD.map(([name, of, text]) => {
    const [a, b] = [of(kept), of(now)];
    const told = (value: typeof a, plan: Plan): string =>
      typeof value === 'string' || text === undefined
        ? String(value)
        : value === null
          ? TEXT.report.notComputed
          : text(value, plan);
    const isFigure = typeof a === 'number' && typeof b === 'number';
    const difference = isFigure ? signed(a, b) : a === b ? words.same : words.other;
    return { name, kept: told(a, kept), now: told(b, now), difference };
  });

const least = (values: readonly number[]): number | null =>
  values.length === 0 ? null : Math.min(...values);

/** `+2.3 (+12 %)`. */
function signed(a: number, b: number): string {
  const more = b - a,
    sign = more < 0 ? '−' : '+';
  if (isSame(more, a)) return words.same;
  const share = a > 0 ? ` (${sign}${shown(Math.abs((100 * more) / a), 1)} %)` : '';
  return `${sign}${shown(Math.abs(more), 1)}${share}`;
}

/** Options, figures of the machine and cutters in which set-ups differ. */
function optionRows({ setup: kept }: Plan, { setup: now }: Plan): Row[] {
  const rows = (Object.keys(OPTIONS) as OptionKey[])
    .filter((key) => !['machine', 'cutters', 'partDate', 'radiiMm'].includes(key))
    .map((key) => ({ name: nameOf(key), kept: kept[key], now: now[key] }));
  const machine = machineTitles().map(({ key, title }) => ({
    name: `${OPTIONS.machine.label}: ${title}`,
    kept: kept.machine[key],
    now: now.machine[key],
  }));
  const ids = ({ cutters }: Plan['setup']) => cutters.map(({ id }) => id);
  const only = (of: Plan['setup'], not: Plan['setup']): string =>
    ids(of)
      .filter((id) => !ids(not).includes(id))
      .join(', ');
  const cutters = {
    name: OPTIONS.cutters.label,
    kept: [words.counted(kept.cutters.length), only(kept, now)].filter((text) => text !== '').join(', '),
    now: [words.counted(now.cutters.length), only(now, kept)].filter((text) => text !== '').join(', '),
  };
  const isOther = JSON.stringify(kept.cutters) !== JSON.stringify(now.cutters);
  return [...rows, ...machine, ...(isOther ? [cutters] : [])]
    .filter((row) => (isOther && row === cutters) || JSON.stringify(row.kept) !== JSON.stringify(row.now))
    .map((row) => ({ name: row.name, kept: typed(row.kept), now: typed(row.now), difference: '' }));
}

function nameOf(key: OptionKey): string {
  const { label = key, unit } = optionRow(key);
  return unit === undefined ? label : `${label}, ${unit}`;
}

/** A value as it would be typed. */
function typed(value: unknown): string {
  if (value === null || value === undefined) return TEXT.page.automatic;
  if (typeof value === 'boolean') return value ? words.yes : words.no;
  if (Array.isArray(value))
    return value.every((one) => typeof one !== 'object') ? value.join('; ') : words.itsOwn;
  if (typeof value !== 'object') return String(value);
  return 'name' in value ? String(value.name) : words.itsOwn;
}
