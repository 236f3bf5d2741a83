import { WORK, type Plan, type RegionWork } from '../plan/plan.js';
import { swatch } from './hatches.js';
import { regionButton } from './place-button.js';
import { areaText, htmlTable, minutesText, numbers, shown, words } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { stepWords, WORTH_SHARE } from './step-words.js';
import { xmlText } from './svg-text.js';

const text = TEXT.report.work,
  { heads } = TEXT.report.tables;

/** So many regions stand open, the others are folded. */
const OPEN_ROWS = 8;

export type WorkedRegion = Plan['regions'][number] & { readonly minutes: number };

/** Regions in which a cutter works, those that take longest first. */
export const workedRegions = ({ regions }: Plan): WorkedRegion[] =>
  regions
    .map((region) => ({ ...region, minutes: region.work.reduce((sum, { minutes }) => sum + minutes, 0) }))
    .filter(({ minutes }) => minutes > 0)
    .sort((a, b) => b.minutes - a.minutes || a.id - b.id);

/** Where the minutes go: by region, cutter and pass, and what would save most. */
export function workTable(plan: Plan): string {
  const rows = workedRegions(plan);
  if (rows.length === 0) return '';
  const { finishingMinutes } = plan.time;
  const isDone = (id: string, pass: RegionWork['pass']): boolean =>
    rows.some(({ work }) => work.some((own) => own.cutterId === id && own.pass === pass));
  const columns = plan.ladder.flatMap(({ cutterId }) =>
    WORK.filter((pass) => isDone(cutterId, pass)).map((pass) =>
      numbers(text.head(cutterId, pass), ({ work }: WorkedRegion) => {
        const own = work.find((one) => one.cutterId === cutterId && one.pass === pass);
        return own === undefined ? '–' : shown(own.minutes, 1);
      }),
    ),
  );
  const table = (some: readonly WorkedRegion[], caption: string): string =>
    htmlTable(caption, some, [
      words(heads.region, ({ id }) => regionButton(id)),
      words(heads.class, ({ class: cls }) => `<span class="row">${swatch(`url(#key-${cls})`)} ${cls}</span>`),
      numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
      numbers(heads.time, ({ minutes }) => minutesText(minutes)),
      numbers(text.share, ({ minutes }) => `${shown((100 * minutes) / finishingMinutes, 0)} %`),
      ...columns,
    ]);
  const others = rows.slice(OPEN_ROWS);
  const told = text.others(others.length, minutesText(others.reduce((sum, { minutes }) => sum + minutes, 0)));
  const folded =
    others.length === 0
      ? ''
      : `<details><summary>${told}</summary>${table(others, `${text.title}: ${told}`)}</details>`;
  // Paper has the chart.
  return `<div class="no-print">${table(rows.slice(0, OPEN_ROWS), text.title)}${folded}</div>${savingList(plan)}`;
}

/** What would save most, the most first. */
function savingList({ split, passes, time }: Plan): string {
  const found = (['waterline', 'raster'] as const).flatMap((pass) => {
    const { stepSetBy, spacingMm } = passes[pass];
    if (stepSetBy === null) return [];
    return {
      saves: stepSetBy.savesMinutes,
      message: stepWords(pass, passes.cutterId, spacingMm, stepSetBy),
    };
  });
  const { fastestDeg, angleDeg, curve } = split;
  if (fastestDeg !== null && curve.length > 0) {
    const at = (deg: number): number =>
      curve.reduce((a, b) => (Math.abs(b.angleDeg - deg) < Math.abs(a.angleDeg - deg) ? b : a)).minutes;
    const saves = at(angleDeg) - at(fastestDeg);
    const message = text.bySplit(shown(fastestDeg, 1), shown(angleDeg, 1), minutesText(saves));
    found.push({ saves, message });
  }
  const items = found
    .filter(({ saves }) => saves >= WORTH_SHARE * time.finishingMinutes)
    .sort((a, b) => b.saves - a.saves)
    .map(({ message }) => `<li>${xmlText(message)}</li>`);
  if (items.length === 0) return `<p><strong>${text.savesMost}:</strong> ${text.savesNothing}</p>`;
  return `<p><strong>${text.savesMost}:</strong></p><ol class="plain">${items.join('')}</ol>`;
}
