import { figure } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';
import { placeButton } from './place-button.js';
import { releaseName } from './place-names.js';
import { placeTable } from './place-tables.js';
import { areaText, numbers, pointText, shown, words } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { wrapText } from './text-table.js';

const text = TEXT.report.tables,
  { heads } = text;

/** On the terminal, where draft was asked about. */
export function releaseLines({ release }: Pick<Plan, 'release'>, width: number): string[] {
  if (release === null) return [];
  const { minDraftDeg, wallsMm2, undercutsMm2, outerSidesMm2 } = release;
  const mm2 = (area: number): string => `${figure(area, 1)} mm²`;
  return wrapText(
    `release, ${minDraftDeg} deg: walls with less draft ${mm2(wallsMm2)}, undercut ${mm2(undercutsMm2)}, ` +
      `outer sides ${mm2(outerSidesMm2)}`,
    width,
    '  ',
  );
}

/** Places that keep a moulding from leaving; empty where draft was not asked about. */
export function releaseTable({ release }: Plan): string {
  if (release === null) return '';
  const { places, minDraftDeg } = release;
  const caption = text.release(shown(minDraftDeg, 2));
  if (places.length === 0)
    return `<p><strong>${caption}:</strong> ${text.allReleases(shown(minDraftDeg, 2))}.</p>`;
  return placeTable(caption, places, [
    words(heads.place, (place) => placeButton(releaseName(place))),
    words(heads.kind, ({ kind }) => text.releaseKinds[kind]),
    words(heads.at, ({ centreMm }) => pointText(centreMm)),
    numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
    numbers(heads.leastDraft, ({ leastDraftDeg }) => `${shown(Math.round(100 * leastDraftDeg) / 100, 2)}°`),
  ]);
}
