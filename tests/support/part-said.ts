import type { Plan } from '../../src/plan/plan.js';
import { reportRows, plainText, type Row } from './read-report.js';

/** What outputs say of the part itself, by what is meant: its ways up, its release. */
type Told = [meaning: string, value: number | string | null];

const WAY_FIGURES = {
  cutMm2: 'cuts',
  undercutMm2: 'undercut',
  hiddenMm2: 'hidden',
  stickoutMm: 'stickout at most',
  minutes: 'time',
} as const;
type WayFigure = keyof typeof WAY_FIGURES;
const WAYS = Object.keys(WAY_FIGURES) as WayFigure[];

const point = (xyz: readonly number[]): string => xyz.map((x) => x.toFixed(9)).join(' ');

export const partByPlan = ({ waysUp: { ways, toCutMm2, second }, release }: Plan): Told[] => [
  ['to cut', toCutMm2],
  ['reached by no two ways', second?.neitherMm2 ?? toCutMm2 - ways[0].cutMm2],
  ...ways.flatMap((way, i) => WAYS.map((what): Told => [`way ${i} ${what}`, way[what]])),
  ['least draft', release?.minDraftDeg ?? null],
  ['without draft', release?.wallsMm2 ?? null],
  ['undercut held', release?.undercutsMm2 ?? null],
  ['outer sides', release?.outerSidesMm2 ?? null],
  ...(release?.places ?? []).flatMap(({ id, areaMm2, centreMm, leastDraftDeg }): Told[] => [
    [`W${id} area`, areaMm2],
    [`W${id} at`, point(centreMm)],
    [`W${id} draft`, leastDraftDeg],
  ]),
];

/** Words of the terminal's page, # a figure, and what the figures mean. */
export const PART_PATTERNS = [
  ['cuts most, # mm² of # mm² that differ', 'way 0 cutMm2', 'to cut'],
  ['none reaches # mm²', 'reached by no two ways'],
  [
    'release: # mm² of wall with less than # deg of draft, # mm² of undercut; # mm² of outer sides',
    'without draft',
    'least draft',
    'undercut held',
    'outer sides',
  ],
] as const;

/** @param first the figure that a cell begins with */
export function partByReport(html: string, first: (cell: string) => string): [string, string][] {
  const text = plainText(html).replaceAll('\n', ' ');
  return [
    [
      'to cut',
      / of ([\d.\u202F]+) mm² that differ from the block/.exec(text)?.[1].replaceAll('\u202F', '') ?? '',
    ],
    ['reached by no two ways', first(/none reaches (.*? mm²)/.exec(text)?.[1] ?? '')],
    ['least draft', /least draft ([\d.]+)°/.exec(text)?.[1] ?? ''],
    ...reportRows(html, 'Ways up').flatMap((row, i) =>
      WAYS.filter((what) => row[WAY_FIGURES[what]] !== '–').map((what): [string, string] => [
        `way ${i} ${what}`,
        first(row[WAY_FIGURES[what]]),
      ]),
    ),
    ...reportRows(html, 'Release of').flatMap((row): [string, string][] => [
      [`${row.place} at`, row['x, y, z'].replaceAll(',', '')],
      [`${row.place} area`, first(row.area)],
      [`${row.place} draft`, first(row['least draft'])],
    ]),
  ];
}

export const saidByWays = (rows: readonly Row[]): ReadonlyMap<string, string> =>
  new Map(
    rows.flatMap((row, i) =>
      WAYS.filter((what) => row[what] !== '').map((what): [string, string] => [
        `way ${i} ${what}`,
        row[what],
      ]),
    ),
  );

export const saidByRelease = (rows: readonly Row[]): ReadonlyMap<string, string> =>
  new Map(
    rows.flatMap(({ place, areaMm2, xMm, yMm, zMm, leastDraftDeg }): [string, string][] => [
      [`${place} area`, areaMm2],
      [`${place} at`, `${xMm} ${yMm} ${zMm}`],
      [`${place} draft`, leastDraftDeg],
    ]),
  );

/** What the terminal alone can tell: sums of tables. */
export const PART_ALONE = ['without draft', 'undercut held', 'outer sides'];
