import type { Plan } from '../plan/plan.js';
import { placeButton } from './place-button.js';
import { restName } from './place-names.js';
import { placeTable } from './place-tables.js';
import { areaText, numbers, pointText, shown, thicknessText, words } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const { heads } = TEXT.report.tables;

/** What each cutter after the first must clean; empty where one cutter does it all. */
export function restTable({ ladder, setup }: Plan): string {
  const places = ladder.flatMap((rung, i) =>
    rung.restRegions.map((place) => ({
      rung,
      place,
      areaMm2: place.areaMm2,
      after: ladder[i - 1],
      name: restName(i + 1, place.id),
    })),
  );
  if (places.length === 0) return '';
  const totals = ladder
    .filter(({ restAreaMm2 }) => restAreaMm2 !== null)
    .map(
      ({ cutterId, restAreaMm2, restVolumeMm3, restRegions }) =>
        `<li>${xmlText(cutterId)}: ${areaText(restAreaMm2 ?? 0)} in ${TEXT.report.places(restRegions.length)}` +
        `${restVolumeMm3 === null ? '' : `, ${shown(restVolumeMm3, 1)} mm³`}</li>`,
    );
  // What a flat end leaves at most is not asked.
  const asked = places.filter(({ place }) => place.greatestMm !== null);
  const hint =
    asked.length > 0 && asked.length < places.length ? `<p class="hint">${TEXT.report.notAsked}</p>` : '';
  const table = placeTable(TEXT.report.restPlaces, places, [
    words(heads.place, ({ name }) => placeButton(name)),
    words(heads.cutter, ({ rung }) => xmlText(rung.cutterId)),
    words(heads.after, ({ after }) => xmlText(after.cutterId)),
    words(heads.at, ({ place }) => pointText(place.centreMm)),
    numbers(heads.toClean, ({ place }) => areaText(place.areaMm2)),
    numbers(heads.restVolume, ({ place }) => `${shown(place.volumeMm3, 1)} mm³`),
    ...(asked.length === 0
      ? []
      : [
          numbers<(typeof places)[number]>(heads.leftAtMost, ({ place: { greatestMm } }) =>
            greatestMm === null ? TEXT.report.notComputed : thicknessText(greatestMm),
          ),
        ]),
  ]);
  return (
    `<h3>${TEXT.report.rest}</h3><ul class="plain">${totals.join('')}</ul><p class="hint">${TEXT.report.blend(shown(100 * setup.blendShare, 1))}</p>` +
    `<div class="no-print">${table}${hint}</div><p class="hint paper-only">${TEXT.report.onScreen}</p>`
  );
}
