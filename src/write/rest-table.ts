import type { Plan } from '../plan/plan.js';
import { areaText, htmlTable, lengthText, numbers, pointText, shown, words } from './report-numbers.js';
import { moreHint } from './report-tables.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const { heads } = TEXT.report.tables;

/** Places listed of each cutter, the largest. */
const MOST_PLACES = 40;

/** What each cutter after the first must clean; empty where one cutter does it all. */
export function restTable({ ladder, setup }: Plan): string {
  const places = ladder.flatMap((rung, i) =>
    rung.restRegions.slice(0, MOST_PLACES).map((place) => ({ rung, place, after: ladder[i - 1] })),
  );
  if (places.length === 0) return '';
  const totals = ladder
    .slice(1)
    .map(
      ({ cutterId, restAreaMm2, restVolumeMm3, restRegions }) =>
        `<li>${xmlText(cutterId)}: ${areaText(restAreaMm2 ?? 0)} in ${TEXT.report.places(restRegions.length)}` +
        `${restVolumeMm3 === null ? '' : `, ${shown(restVolumeMm3, 1)} mm³`}</li>`,
    );
  const table = htmlTable(TEXT.report.rest, places, [
    words(heads.cutter, ({ rung }) => xmlText(rung.cutterId)),
    words(heads.after, ({ after }) => xmlText(after.cutterId)),
    words(heads.at, ({ place }) => pointText(place.centreMm)),
    numbers(heads.toClean, ({ place }) => areaText(place.areaMm2)),
    numbers(heads.restVolume, ({ place }) => `${shown(place.volumeMm3, 1)} mm³`),
    numbers(heads.leftAtMost, ({ place: { greatestMm } }) =>
      greatestMm === null ? TEXT.report.notComputed : lengthText(greatestMm, 3),
    ),
  ]);
  const left = ladder.reduce(
    (sum, { restRegions }) => sum + Math.max(0, restRegions.length - MOST_PLACES),
    0,
  );
  return (
    `<h3>${TEXT.report.rest}</h3><ul class="plain">${totals.join('')}</ul><p class="hint">${TEXT.report.blend(shown(100 * setup.blendShare, 1))}</p>` +
    `<details class="no-print"><summary>${TEXT.report.restPlaces(places.length)}</summary>${table}${moreHint(left)}</details>`
  );
}
