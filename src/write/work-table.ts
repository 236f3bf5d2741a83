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
  return `<div class="no-print">${table(rows.slice(0, OPEN_ROWS), text.title)}${folded}</div>${savingWords(plan)}`;
}

/** What would save most, and what steps by region save already. */
function savingWords({ split, passes, time }: Plan): string {
  const isWorth = (saves: number): boolean => saves >= WORTH_SHARE * time.finishingMinutes;
  const { fastestDeg, angleDeg, curve } = split;
  const at = (deg: number): number =>
    curve.reduce((a, b) => (Math.abs(b.angleDeg - deg) < Math.abs(a.angleDeg - deg) ? b : a)).minutes;
  const saves = fastestDeg === null || curve.length === 0 ? 0 : at(angleDeg) - at(fastestDeg);
  const bySplit =
    fastestDeg !== null && isWorth(saves)
      ? text.bySplit(shown(fastestDeg, 1), shown(angleDeg, 1), minutesText(saves))
      : text.savesNothing;
  const apart = (['waterline', 'raster'] as const).flatMap((pass) => {
    const { cutApart } = passes[pass];
    return cutApart !== null && isWorth(cutApart.savesMinutes)
      ? [`<p>${xmlText(stepWords(pass, passes.cutterId, cutApart))}</p>`]
      : [];
  });
  return `<p><strong>${text.savesMost}:</strong> ${xmlText(bySplit)}</p>${apart.join('')}`;
}
