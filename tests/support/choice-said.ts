import type { Plan } from '../../src/plan/plan.js';
import { plainText, reportRows, type Row } from './read-report.js';

/** What outputs say of the choice of cutters, by what is meant: without each of the ladder, with one more, why not. */
type Told = [meaning: string, value: number | string | null];

export const choiceByPlan = ({ ladder, ladderOneMore, ladderLeftOut }: Plan): Told[] => [
  ...ladder.flatMap(({ cutterId, without }): Told[] => [
    [`without ${cutterId}`, without?.extraMinutes ?? null],
    [`without ${cutterId} left`, without?.leftAreaMm2 ?? null],
    [`without ${cutterId} volume`, without?.leftVolumeMm3 ?? null],
  ]),
  ['one more', ladderOneMore?.cutterId ?? null],
  ['one more minutes', ladderOneMore?.extraMinutes ?? null],
  ...ladderLeftOut.flatMap(({ cutterId, reason, detail, extraMinutes, addedMinutes }): Told[] => [
    [`${cutterId} not used`, reason],
    [`${cutterId} not used detail`, spaced(detail)],
    [`with ${cutterId}`, extraMinutes],
    ...(cutterId === ladderOneMore?.cutterId ? [['one more minutes', addedMinutes] as Told] : []),
  ]),
];

/** Words, which are compared as they are: figures in them must not be taken for such by themselves. */
const spaced = (detail: string): string => detail.replaceAll(/[\s,]+/g, '_');

/** Words of the terminal's page, # a figure, and what the figures mean. */
export const CHOICE_PATTERNS: readonly (readonly [string, ...string[]])[] = [
  [
    'the best ladder without one, min: flat-8 [+]# \\(# mm² more left\\)',
    'without flat-8',
    'without flat-8 left',
  ],
  [
    'flat-8 .*?, ball-8 [+]#, ball-4 # \\(# mm² more left\\);',
    'without ball-8',
    'without ball-4',
    'without ball-4 left',
  ],
  ['these and one more: (ball-\\d) [+]#', 'one more', 'one more minutes'],
  ['not used, save too little; the job with them, min: ball-5 [+]#', 'with ball-5'],
];

const REASONS: Readonly<Record<string, string>> = {
  'saves too little': 'saves-too-little',
  'reaches nothing more': 'reaches-nothing-more',
};
const signed = (cell: string, first: (cell: string) => string): string =>
  cell.endsWith('less') ? `-${first(cell)}` : first(cell);

/** @param first the figure that a cell begins with */
export function choiceByReport(html: string, first: (cell: string) => string): [string, string][] {
  const [, more, minutes] =
    /One cutter more, these kept: with (\S+) the job takes (.*? min more)/.exec(plainText(html)) ?? [];
  return [
    ...reportRows(html, 'Without one of these').flatMap((row): [string, string][] => [
      [`without ${row.cutter}`, signed(row['the job takes'], first)],
      [`without ${row.cutter} left`, first(row['left besides'])],
      ...(row['rest volume'] === 'not computed'
        ? []
        : [[`without ${row.cutter} volume`, first(row['rest volume'])] as [string, string]]),
    ]),
    ['one more', more],
    ['one more minutes', first(minutes)],
    ...reportRows(html, 'Cutters of the catalogue that are not used').flatMap((row): [string, string][] => {
      const [, reason, detail] = /^(.*?): (.*)$/.exec(row['why not']) ?? [];
      return [
        [`${row.cutter} not used`, REASONS[reason]],
        [`${row.cutter} not used detail`, spaced(detail)],
        [`with ${row.cutter}`, first(row['the job takes'])],
      ];
    }),
  ];
}

export const choiceByCutters = (rows: readonly Row[]): [string, string][] =>
  rows
    .flatMap((row): [string, string][] => [
      [`without ${row.cutterId}`, row.withoutExtraMinutes],
      [`without ${row.cutterId} left`, row.withoutLeftAreaMm2],
      [`without ${row.cutterId} volume`, row.withoutLeftVolumeMm3],
    ])
    .filter(([, value]) => value !== '');

export const saidByUnused = (rows: readonly Row[]): ReadonlyMap<string, string> =>
  new Map(
    rows.flatMap((row): [string, string][] => [
      [`${row.cutterId} not used`, row.reason],
      [`${row.cutterId} not used detail`, spaced(row.detail)],
      [`with ${row.cutterId}`, row.extraMinutes],
    ]),
  );
