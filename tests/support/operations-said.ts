import type { Plan } from '../../src/plan/plan.js';
import { reportRows } from './read-report.js';

type Meaning = readonly [string, string];

const EARLY = [
  ['roughing', ['rough', 'rest-rough']],
  ['semi-finishing', ['semi-finish', 'semi-corners']],
] as const;

/** What plan.json says of the stages. */
export function operationsByPlan({ stages, crib, operations }: Plan): [string, number | string | null][] {
  return [
    ...stages.flatMap((stage): [string, number | string | null][] => [
      [`stage ${stage.id} cutter`, stage.cutterId],
      [`stage ${stage.id} leaves`, stage.stockLeftMm],
      [`stage ${stage.id} takes`, stage.volumeMm3],
      [`stage ${stage.id} area`, stage.areaMm2],
      [`stage ${stage.id} meets`, stage.meets?.greatestMm ?? null],
      [`stage ${stage.id} mean`, stage.meets?.meanMm ?? null],
      [`stage ${stage.id} stickout`, stage.stickoutMm],
      [`stage ${stage.id} minutes`, stage.minutes],
    ]),
    ...crib.flatMap(({ cutterId, stickoutMm, minutes }): [string, number | string | null][] => [
      [`crib ${cutterId} stickout`, stickoutMm],
      [`crib ${cutterId} minutes`, minutes],
    ]),
    ...EARLY.flatMap(([name, kinds]): [string, number][] => {
      const own = stages.filter(({ kind }) => kinds.some((one) => one === kind));
      return [
        [`${name} minutes`, own.reduce((sum, { minutes }) => sum + minutes, 0)],
        [`${name} volume`, own.reduce((sum, { volumeMm3 }) => sum + (volumeMm3 ?? 0), 0)],
        [`${name} leaves`, own[own.length - 1].stockLeftMm],
      ];
    }),
    ['all stages', operations.totalMinutes],
    ['all changes', operations.toolChangeMinutes],
    ['count of changes', operations.toolChanges],
  ];
}

/** Columns of operations.csv that the report's table has as well, with its heads. */
const COLUMNS = [
  ['cutter', 'cutterId', 'cutter'],
  ['leaves', 'stockLeftMm', 'leaves on'],
  ['takes', 'volumeMm3', 'takes'],
  ['area', 'areaMm2', 'area'],
  ['meets', 'meetsGreatestMm', 'meets at most'],
  ['mean', 'meetsMeanMm', 'mean'],
  ['stickout', 'stickoutMm', 'least stickout'],
  ['minutes', 'minutes', 'time'],
] as const;

/** What operations.csv says. */
export const saidByOperations = (
  rows: readonly Readonly<Record<string, string>>[],
): ReadonlyMap<string, string> =>
  new Map(
    rows.flatMap((row, i) =>
      COLUMNS.filter(([, column]) => row[column] !== '').map(([what, column]): [string, string] => [
        `stage ${i} ${what}`,
        row[column],
      ]),
    ),
  );

/** What the report's sheet of operations says. @param first the number of a cell */
export function operationsByReport(html: string, first: (cell: string) => string): Meaning[] {
  return [
    ...reportRows(html, 'Stages in order').flatMap((row, i) =>
      COLUMNS.filter(([, , head]) => row[head] !== '–').map(
        ([what, , head]): Meaning => [`stage ${i} ${what}`, what === 'cutter' ? row[head] : first(row[head])],
      ),
    ),
    ...reportRows(html, 'Cutters to pull').flatMap((row): Meaning[] => [
      [`crib ${row.cutter} stickout`, first(row['stickout at least'])],
      [`crib ${row.cutter} minutes`, first(row.time)],
    ]),
    ['all stages', first(/<caption>Stages in order, (.*?)<\/caption>/.exec(html)?.[1] ?? '')],
  ];
}
