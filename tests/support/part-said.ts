import type { Plan } from '../../src/plan/plan.js';
import { holeName } from '../../src/write/place-names.js';
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

export const partByPlan = ({ waysUp: { ways, toCutMm2, second }, release, holes }: Plan): Told[] => [
  ['to cut', toCutMm2],
  ['reached by no two ways', second?.neitherMm2 ?? toCutMm2 - ways[0].cutMm2],
  ...ways.flatMap((way, i) => WAYS.map((what): Told => [`way ${i} ${what}`, way[what]])),
  ['holes', holes.reduce((sum, { count }) => sum + count, 0)],
  ['hole minutes', holes.reduce((sum, { finishMinutes }) => sum + (finishMinutes ?? 0), 0)],
  ...holes.flatMap((hole): Told[] => [
    [`H${hole.id} count`, hole.count],
    [`H${hole.id} kind`, hole.kind],
    [`H${hole.id} diameter`, hole.diameterMm],
    [`H${hole.id} depth`, hole.depthMm],
    [`H${hole.id} wide`, hole.counterbore?.diameterMm ?? null],
    [`H${hole.id} step`, hole.counterbore?.depthMm ?? null],
    [`H${hole.id} minutes`, hole.finishMinutes],
    ...hole.topsMm.map((top, i): Told => [`${holeName(hole, i)} at`, point(top)]),
  ]),
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
export const PART_PATTERNS: readonly (readonly [string, ...string[]])[] = [
  ['cuts most, # mm² of # mm² that differ', 'way 0 cutMm2', 'to cut'],
  ['Round upright holes: #, roughly # min if finished', 'holes', 'hole minutes'],
  [
    '# x # mm (through|blind), # deep counterbore # x # finished # min',
    ...['count', 'diameter', 'kind', 'depth', 'wide', 'step', 'minutes'].map((what) => `H0 ${what}`),
  ],
  ['adds 1 % or more to that: # mm² are left', 'reached by no two ways'],
  [
    'release, # deg: walls with less draft # mm², undercut # mm², outer sides # mm²',
    'least draft',
    'without draft',
    'undercut held',
    'outer sides',
  ],
];

/** @param first the figure that a cell begins with */
export function partByReport(html: string, first: (cell: string) => string): [string, string][] {
  const text = plainText(html).replaceAll('\n', ' ');
  return [
    [
      'to cut',
      / of ([\d.\u202F]+) mm² that differ from the block/.exec(text)?.[1].replaceAll('\u202F', '') ?? '',
    ],
    ['reached by no two ways', first(/more to that: (.*? mm²) are left/.exec(text)?.[1] ?? '')],
    ['least draft', /least draft ([\d.]+)°/.exec(text)?.[1] ?? ''],
    ...reportRows(html, 'Ways up').flatMap((row, i) =>
      WAYS.filter((what) => row[WAY_FIGURES[what]] !== '–').map((what): [string, string] => [
        `way ${i} ${what}`,
        first(row[WAY_FIGURES[what]]),
      ]),
    ),
    ['hole minutes', /Minutes are rough, ([\d.]+) min in all/.exec(text)?.[1] ?? ''],
    ...reportRows(html, 'Round upright holes').flatMap((row): [string, string][] => {
      const [, wide, step] = /Ø ([\d.]+), ([\d.]+) mm deep/.exec(row.counterbore) ?? [];
      const [, name, at] = /(H[\d.]+)\s+([-\d., ]+)/.exec(row['mouth at x, y, z']) ?? [];
      return [
        [`${row.hole} count`, row['how many']],
        [`${row.hole} kind`, row.what],
        [`${row.hole} diameter`, first(row.diameter)],
        [`${row.hole} depth`, first(row.depth)],
        [`${row.hole} wide`, wide],
        [`${row.hole} step`, step],
        [`${row.hole} minutes`, first(row.finishing)],
        [`${name} at`, at.replaceAll(',', '').trim()],
      ];
    }),
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

export const saidByHoles = (rows: readonly Row[]): ReadonlyMap<string, string> =>
  new Map(
    rows.flatMap((row): [string, string][] => [
      [`${row.place} at`, `${row.xMm} ${row.yMm} ${row.zMm}`],
      [`${row.like} kind`, row.kind],
      [`${row.like} diameter`, row.diameterMm],
      [`${row.like} depth`, row.depthMm],
      [`${row.like} wide`, row.counterboreDiameterMm],
      [`${row.like} step`, row.counterboreDepthMm],
    ]),
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
export const PART_ALONE = ['holes', 'without draft', 'undercut held', 'outer sides'];
