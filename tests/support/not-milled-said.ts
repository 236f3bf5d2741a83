import { expect } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import { reportRows, type Row } from './read-report.js';

/** What outputs say of places that are not milled: how many, which, and what would make them. */
type Told = [meaning: string, value: number | string | null];

// The words for the remedies that the part of the test has, one apart from the code's.
const WORDS: Readonly<Record<string, string>> = {
  edm: 'EDM',
  hand: 'bench work',
  'split-insert': 'split insert',
  'flat-end': 'flat end along the floor',
};
const rounded = (x: number | null, decimals: number): string => String(Number((x ?? NaN).toFixed(decimals)));
const wordsOf = ({
  kind,
  radiusMm,
  reachMm,
  lengthToDiameter,
}: Plan['notMilled'][number]['remedies'][number]): string =>
  WORDS[kind] ??
  `ball up to R ${rounded(radiusMm, 3)}, ${rounded(reachMm, 1)} mm (${rounded(lengthToDiameter, 1)} × DC)`;
const ofCells = (cell: string): string => cell.replaceAll(', or ', '+').replaceAll(' ', '_');

export const notMilledByPlan = ({ notMilled }: Plan): Told[] => [
  ['not milled', notMilled.length],
  ['not milled area', notMilled.reduce((sum, { areaMm2 }) => sum + areaMm2, 0)],
  ...notMilled.flatMap(({ kind, placeId, remedies, areaMm2, depthMm }): Told[] => {
    expect(kind).toBe('too-tight');
    const all = remedies.map(wordsOf);
    return [
      [`L${placeId} kind`, 'too_tight'],
      [`L${placeId} made by`, ofCells(all.join(', or '))],
      [`L${placeId} made first by`, ofCells(all[0])],
      [`L${placeId} area`, areaMm2],
      [`L${placeId} depth`, depthMm],
    ];
  }),
];

export function notMilledByTerminal(page: string): [string, string][] {
  const [, count, total] =
    /Not milled in this set-up by this catalogue: (\d+) places, ([\d.]+) mm²/.exec(page) ?? [];
  // A long cell goes on in the line below.
  const unwrapped = page.replaceAll(/\n {20,}/g, ' ');
  const lines = [
    ...unwrapped.matchAll(/(L\d+) +at ([-\d. ]+?) +([\d.]+) mm² +([\d.]+) down +(no ball|R [\d.]+) +(.*)/g),
  ];
  expect(lines.length).toBeGreaterThan(0);
  return [
    ['not milled', count],
    ['not milled area', total],
    ...lines.flatMap(([, name, at, area, depth, radius, remedy]): [string, string][] => [
      [`${name} at`, at],
      [`${name} area`, area],
      [`${name} depth`, depth],
      [`${name} radius`, radius === 'no ball' ? '0' : radius.slice(2)],
      [`${name} made first by`, ofCells(remedy)],
    ]),
  ];
}

/** @param first the figure that a cell begins with */
export function notMilledByReport(html: string, first: (cell: string) => string): [string, string][] {
  const [, caption, count, total] =
    /<caption>((\d+) places, ([\d.\u202F]+) mm²: not milled in this set-up by this catalogue)<\/caption>/.exec(
      html,
    ) ?? [];
  expect(caption).toBeDefined();
  return [
    ['not milled', count],
    ['not milled area', total.replaceAll('\u202F', '')],
    ...reportRows(html, `${count} places, ${total}`).flatMap((row): [string, string][] => [
      [`${row.place} kind`, ofCells(row.what)],
      [`${row.place} at`, row['x, y, z'].replaceAll(',', '')],
      [`${row.place} area`, first(row.area)],
      [`${row.place} depth`, first(row['below the top'])],
      [
        `${row.place} radius`,
        row['ball radius it takes'] === 'no ball' ? '0' : first(row['ball radius it takes']),
      ],
      [`${row.place} made by`, ofCells(row['what would'])],
    ]),
  ];
}

export const saidByNotMilled = (rows: readonly Row[]): ReadonlyMap<string, string> =>
  new Map(
    rows.flatMap((row): [string, string][] => [
      [`${row.place} kind`, row.kind.replace('-', '_')],
      [`${row.place} area`, row.areaMm2],
      [`${row.place} at`, `${row.xMm} ${row.yMm} ${row.zMm}`],
      [`${row.place} depth`, row.depthMm],
      [`${row.place} radius`, row.ballRadiusMm],
      [`${row.place} made by`, ofCells(row.remedies)],
      [`${row.place} made first by`, ofCells(row.remedies).split('+')[0]],
    ]),
  );
