import { figure } from '../core/figures.js';
import type { NotMilled, Plan } from '../plan/plan.js';
import { placeButton, regionButton } from './place-button.js';
import { notMilledName, remediesWords, remedyWords } from './not-milled-words.js';
import { ballWords } from './place-names.js';
import { placePictures, type PlaceSection } from './place-pictures.js';
import { placeTable } from './place-tables.js';
import {
  areaText,
  lengthText,
  lists,
  numbers,
  pointText,
  radiusText,
  shown,
  words,
  wrappable,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';
import { capped, counted, pointWords } from './summary-sections.js';
import { textTable } from './text-table.js';

const text = TEXT.report.notMilled,
  { heads } = TEXT.report.tables;

const total = (places: readonly NotMilled[]): number => places.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);

/** On the terminal: how many places. */
export const notMilledTitle = ({ notMilled }: Pick<Plan, 'notMilled'>): string =>
  notMilled.length === 0
    ? 'Not milled in this set-up by this catalogue: nothing'
    : `Not milled in this set-up by this catalogue: ${counted(notMilled.length, 'place')}, ` +
      `${figure(total(notMilled), 1)} mm²`;

/** On the terminal: the largest of them, and what would make them. */
export const notMilledLines = ({ notMilled }: Pick<Plan, 'notMilled'>, width: number): string[] =>
  capped(
    textTable(
      notMilled.map((place) => [
        notMilledName(place),
        `at ${pointWords(place.centreMm)}`,
        `${figure(place.areaMm2, 1)} mm²`,
        `${figure(place.depthMm, 1)} down`,
        place.radiusMm === null
          ? text.kinds[place.kind]
          : ballWords(place.radiusMm, (mm) => `R ${figure(mm, 3)}`),
        remedyWords(place, place.remedies[0]),
      ]),
      // Coordinates are not broken: words go on below.
      ['left', 'right', 'right', 'right', 'left', 'left'],
      width,
    ),
    'place',
  );

/** The section of the report: a table of all, and pictures of the largest. */
export function notMilledHtml(plan: Plan, sections: readonly PlaceSection[]): string {
  if (plan.notMilled.length === 0) return `<p>${text.nothing}</p>`;
  const table = placeTable(
    text.table(plan.notMilled.length, areaText(total(plan.notMilled))),
    plan.notMilled,
    [
      words(heads.place, nameHtml),
      words(heads.kind, ({ kind }) => text.kinds[kind]),
      words(heads.at, ({ centreMm }) => pointText(centreMm)),
      numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
      numbers(heads.belowTop, ({ depthMm }) => lengthText(depthMm, 1)),
      numbers(heads.ballRadiusItTakes, ({ radiusMm }) => (radiusMm === null ? '–' : radiusText(radiusMm))),
      words(heads.takes, ({ cutterId }) => xmlText(cutterId ?? '–')),
      numbers(heads.leastStickout, (place) => stickoutHtml(place, plan)),
      lists(text.remedy, (place) => wrappable(remediesWords(place))),
    ],
  );
  return `${table}<p class="hint">${crumbWords(plan)}${text.hint}</p>${placePictures(plan, sections)}`;
}

/** What is told of no place, where it shows in a sum of areas. */
const crumbWords = ({ reach: { crumbs } }: Plan): string =>
  crumbs.areaMm2 < 0.05 ? '' : text.crumbs(crumbs.count, areaText(crumbs.areaMm2));

/** Places of another table are named alone: its buttons lead to them. */
function nameHtml(place: NotMilled): string {
  const name = notMilledName(place);
  if (place.kind === 'too-tight' || place.kind === 'too-deep') return placeButton(name);
  return place.isRegion ? `${text.region('')}${regionButton(place.placeId)}` : name;
}

/** A stickout, and how slender that makes the cutter. */
function stickoutHtml({ stickoutMm, cutterId }: NotMilled, { setup }: Plan): string {
  if (stickoutMm === null) return '–';
  const own = setup.cutters.find(({ id }) => id === cutterId);
  return `${lengthText(stickoutMm, 1)}${own ? ` (${shown(stickoutMm / own.DC, 1)} × DC)` : ''}`;
}
