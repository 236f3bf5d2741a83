import type { Plan } from '../plan/plan.js';
import { quoteRows, type Quote } from '../time/quote.js';
import { notMilledName, remediesWords } from './not-milled-words.js';
import { holeName, releaseName } from './place-names.js';
import { roundedForFile } from './number.js';

type Cell = string | number | null;

/** A spreadsheet would run a text that begins with one of these, blanks aside, as a formula; some take wide signs too. */
const FORMULA_START = /^[\s\p{C}]*[=+\-@\t\r\n＝＋－＠]/u;

/**
 * A table as RFC 4180 says: comma, CRLF after every line, quotes doubled, the header first. UTF-8, no mark.
 *
 * @param rows numbers are written plain with a decimal point; null as an empty cell; a text that a
 *   spreadsheet would take for a formula gets a leading apostrophe
 * @throws {RangeError} if a row has not as many cells as the header, or a number is not finite
 */
export function csvText(header: readonly string[], rows: readonly (readonly Cell[])[]): string {
  const lines = [header, ...rows].map((row) => {
    if (row.length !== header.length) {
      throw new RangeError(`csvText: row of ${row.length} cells under a header of ${header.length}`);
    }
    return `${row.map(cellText).join(',')}\r\n`;
  });
  return lines.join('');
}

function cellText(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return String(roundedForFile(cell));
  const guarded = FORMULA_START.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(guarded) ? `"${guarded.replaceAll('"', '""')}"` : guarded;
}

/** A table of one line per item: name and content of each column. */
type Columns<Item> = readonly (readonly [string, (item: Item) => Cell])[];

const tableText = <Item>(columns: Columns<Item>, items: readonly Item[]): string =>
  csvText(
    columns.map(([name]) => name),
    items.map((item) => columns.map(([, content]) => content(item))),
  );

const ZONE_COLUMNS: Columns<Plan['regions'][number]> = [
  ['id', ({ id }) => id],
  ['class', (region) => region.class],
  ['areaMm2', ({ areaMm2 }) => areaMm2],
  ['minXMm', ({ boundsMm }) => boundsMm.min[0]],
  ['minYMm', ({ boundsMm }) => boundsMm.min[1]],
  ['minZMm', ({ boundsMm }) => boundsMm.min[2]],
  ['maxXMm', ({ boundsMm }) => boundsMm.max[0]],
  ['maxYMm', ({ boundsMm }) => boundsMm.max[1]],
  ['maxZMm', ({ boundsMm }) => boundsMm.max[2]],
  ['rings', ({ rings }) => rings.length],
];

/** zones.csv: one line per region. */
export const zonesCsv = (plan: Plan): string => tableText(ZONE_COLUMNS, plan.regions);

interface CutterLine {
  readonly order: number;
  readonly rung: Plan['ladder'][number];
  readonly cutter: Plan['setup']['cutters'][number] | undefined;
}

const CUTTER_COLUMNS: Columns<CutterLine> = [
  ['order', ({ order }) => order],
  ['cutterId', ({ rung }) => rung.cutterId],
  ['stage', ({ rung }) => rung.stage],
  ['DC', ({ rung }) => rung.DC],
  ['RE', ({ rung }) => rung.RE],
  ['APMX', ({ cutter }) => cutter?.APMX ?? null],
  ['LU', ({ cutter }) => cutter?.LU ?? null],
  ['DN', ({ cutter }) => cutter?.DN ?? null],
  ['NOF', ({ cutter }) => cutter?.NOF ?? null],
  ['stickoutMm', ({ rung }) => rung.stickoutMm],
  ['finishedAreaMm2', ({ rung }) => rung.finishedAreaMm2],
  ['unreachedAreaMm2', ({ rung }) => rung.unreachedAreaMm2],
  ['minutes', ({ rung }) => rung.minutes],
  ['placeholder', ({ cutter }) => (cutter?.placeholder ? 'yes' : 'no')],
  ['lengthToDiameter', ({ rung }) => rung.lengthToDiameter],
  ['deflectionRatio', ({ rung }) => rung.deflectionRatio],
  ['exceedsUsable', ({ rung }) => (rung.exceedsUsable === null ? null : rung.exceedsUsable ? 'yes' : 'no')],
  ['savesMinutes', ({ rung }) => rung.savesMinutes],
  ['restAreaMm2', ({ rung }) => rung.restAreaMm2],
  ['restVolumeMm3', ({ rung }) => rung.restVolumeMm3],
  ['restGreatestMm', ({ rung }) => rung.restGreatestMm],
  ['restRegions', ({ rung }) => rung.restRegions.length],
  ['role', ({ rung }) => rung.role],
  ['withoutExtraMinutes', ({ rung }) => rung.without?.extraMinutes ?? null],
  ['withoutLeftAreaMm2', ({ rung }) => rung.without?.leftAreaMm2 ?? null],
  ['withoutLeftVolumeMm3', ({ rung }) => rung.without?.leftVolumeMm3 ?? null],
  ['withoutCutterIds', ({ rung }) => rung.without?.cutterIds.join(' ') ?? null],
];

/**
 * cutters.csv: one line per rung of the ladder, in the order of use, with what is needed to order the cutter.
 */
export function cuttersCsv(plan: Plan): string {
  const byId = new Map(plan.setup.cutters.map((cutter) => [cutter.id, cutter]));
  return tableText(
    CUTTER_COLUMNS,
    plan.ladder.map((rung, i) => ({ order: i + 1, rung, cutter: byId.get(rung.cutterId) })),
  );
}

const OPERATION_COLUMNS: Columns<Plan['stages'][number]> = [
  ['order', ({ id }) => id + 1],
  ['stage', ({ kind }) => kind],
  ['cutterId', ({ cutterId }) => cutterId],
  ['DC', ({ DC }) => DC],
  ['RE', ({ RE }) => RE],
  ['beforeCutterId', ({ beforeCutterId }) => beforeCutterId],
  ['blendShare', ({ blendShare }) => blendShare],
  ['stockLeftMm', ({ stockLeftMm }) => stockLeftMm],
  ['stepoverMm', ({ stepoverMm }) => stepoverMm],
  ['stepdownMm', ({ stepdownMm }) => stepdownMm],
  ['feedMmPerMin', ({ feedMmPerMin }) => feedMmPerMin],
  ['slices', ({ slices }) => slices.length],
  ['areaMm2', ({ areaMm2 }) => areaMm2],
  ['volumeMm3', ({ volumeMm3 }) => volumeMm3],
  ['leftMm3', ({ leftMm3 }) => leftMm3],
  ['meetsGreatestMm', ({ meets }) => meets?.greatestMm ?? null],
  ['meetsMeanMm', ({ meets }) => meets?.meanMm ?? null],
  ['takesMm', ({ meets }) => meets?.takesMm ?? null],
  ['tooThickPlaces', ({ meets }) => meets?.places ?? null],
  ['stickoutMm', ({ stickoutMm }) => stickoutMm],
  ['lengthToDiameter', ({ lengthToDiameter }) => lengthToDiameter],
  ['minutes', ({ minutes }) => minutes],
];

/** operations.csv: one line per stage, from the block to the finished part. */
export const operationsCsv = ({ stages }: Plan): string => tableText(OPERATION_COLUMNS, stages);
const UNUSED_COLUMNS: Columns<Plan['ladderLeftOut'][number]> = [
  ['cutterId', ({ cutterId }) => cutterId],
  ['reason', ({ reason }) => reason],
  ['detail', ({ detail }) => detail],
  ['extraMinutes', ({ extraMinutes }) => extraMinutes],
  ['ownMinutes', ({ ownMinutes }) => ownMinutes],
  ['finishedAreaMm2', ({ finishedAreaMm2 }) => finishedAreaMm2],
  ['insteadOfIds', ({ insteadOfIds }) => insteadOfIds.join(' ')],
  ['addedMinutes', ({ addedMinutes }) => addedMinutes],
];

/** cutters-not-used.csv: one line per cutter of the catalogue that is not in the ladder, and why. */
export const unusedCsv = ({ ladderLeftOut }: Plan): string => tableText(UNUSED_COLUMNS, ladderLeftOut);

const NOT_MILLED_COLUMNS: Columns<Plan['notMilled'][number]> = [
  ['place', notMilledName],
  ['kind', ({ kind }) => kind],
  ['areaMm2', ({ areaMm2 }) => areaMm2],
  ['xMm', ({ centreMm }) => centreMm[0]],
  ['yMm', ({ centreMm }) => centreMm[1]],
  ['zMm', ({ centreMm }) => centreMm[2]],
  ['depthMm', ({ depthMm }) => depthMm],
  ['ballRadiusMm', ({ radiusMm }) => radiusMm],
  ['cutterId', ({ cutterId }) => cutterId],
  ['stickoutMm', ({ stickoutMm }) => stickoutMm],
  ['remedies', remediesWords],
  ['remedyRadiusMm', ({ remedies: [first] }) => first.radiusMm],
  ['remedyReachMm', ({ remedies: [first] }) => first.reachMm],
  ['remedyLengthToDiameter', ({ remedies: [first] }) => first.lengthToDiameter],
];

/** not-milled.csv: one line per place that milling, or the catalogue, does not make. */
export const notMilledCsv = ({ notMilled }: Plan): string => tableText(NOT_MILLED_COLUMNS, notMilled);

const WAY_COLUMNS: Columns<Plan['waysUp']['ways'][number] & { readonly surveyed: boolean }> = [
  ['upX', ({ axis }) => axis[0]],
  ['upY', ({ axis }) => axis[1]],
  ['upZ', ({ axis }) => axis[2]],
  ['surveyed', ({ surveyed }) => (surveyed ? 'yes' : 'no')],
  ['cutMm2', ({ cutMm2 }) => cutMm2],
  ['undercutMm2', ({ undercutMm2 }) => undercutMm2],
  ['hiddenMm2', ({ hiddenMm2 }) => hiddenMm2],
  ['stickoutMm', ({ stickoutMm }) => stickoutMm],
  ['minutes', ({ minutes }) => minutes],
];

/** ways-up.csv: one line per way up, the best first, as a direction in the file. */
export const waysUpCsv = ({ waysUp: { ways, surveyed } }: Plan): string =>
  tableText(
    WAY_COLUMNS,
    ways.map((way, i) => ({ ...way, surveyed: i === surveyed })),
  );

const RELEASE_COLUMNS: Columns<NonNullable<Plan['release']>['places'][number]> = [
  ['place', (place) => releaseName(place)],
  ['kind', ({ kind }) => kind],
  ['areaMm2', ({ areaMm2 }) => areaMm2],
  ['xMm', ({ centreMm }) => centreMm[0]],
  ['yMm', ({ centreMm }) => centreMm[1]],
  ['zMm', ({ centreMm }) => centreMm[2]],
  ['leastDraftDeg', ({ leastDraftDeg }) => leastDraftDeg],
];

/** release.csv: one line per place that keeps a moulding from leaving. */
export const releaseCsv = (release: NonNullable<Plan['release']>): string =>
  tableText(RELEASE_COLUMNS, release.places);

interface HoleLine {
  readonly hole: Plan['holes'][number];
  readonly place: number;
}

const HOLE_COLUMNS: Columns<HoleLine> = [
  ['place', ({ hole, place }) => holeName(hole, place)],
  ['like', ({ hole }) => `H${hole.id}`],
  ['kind', ({ hole }) => hole.kind],
  ['diameterMm', ({ hole }) => hole.diameterMm],
  ['depthMm', ({ hole }) => hole.depthMm],
  ['counterboreDiameterMm', ({ hole }) => hole.counterbore?.diameterMm ?? null],
  ['counterboreDepthMm', ({ hole }) => hole.counterbore?.depthMm ?? null],
  ['mouthDiameterMm', ({ hole }) => hole.mouthDiameterMm],
  ['xMm', ({ hole, place }) => hole.topsMm[place][0]],
  ['yMm', ({ hole, place }) => hole.topsMm[place][1]],
  ['zMm', ({ hole, place }) => hole.topsMm[place][2]],
  ['made', ({ hole }) => (hole.isDrilled ? 'drilled' : 'finished')],
];

/** holes.csv: one line per round upright hole. */
export const holesCsv = ({ holes }: Plan): string =>
  tableText(
    HOLE_COLUMNS,
    holes.flatMap((hole) => hole.topsMm.map((_, place) => ({ hole, place }))),
  );

/** quote.csv: one line per item of the quote sheet, the total last. */
export function quoteCsv(quote: Quote): string {
  const [header, ...rows] = quoteRows(quote);
  return csvText(header.map(String), rows);
}
