import { CLASSES, MACHINABLE_CLASSES, type SurfaceClass } from '../../core/classes.js';
import { areaText, shown } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { swatch } from '../../write/hatches.js';
import type { Bands } from './bands.js';
import { make, press } from './elements.js';

const words = TEXT.view;

export interface LegendInput {
  /** null: classes */
  readonly bands: Bands | null;
  readonly facts: SceneFacts;
  /** mm² */
  readonly areas: Readonly<Record<SurfaceClass, number>>;
  readonly splitDeg: number;
  readonly endDeg: number;
  /** classes that are not shown */
  readonly hidden: ReadonlySet<SurfaceClass>;
  readonly onToggle: (name: SurfaceClass) => void;
}

/**
 * Fills the legend: bands with their limits if a field is shown, and the classes shown, each with its area.
 */
export function fillLegend(
  list: HTMLElement,
  { bands, facts, areas, splitDeg, endDeg, hidden, onToggle }: LegendInput,
): void {
  const { split } = facts,
    at = `${shown(splitDeg, 1)}°`,
    to = `${shown(endDeg, 1)}°`;
  const isSurveyed =
    splitDeg === split.angleDeg && endDeg === Math.min(90, split.angleDeg + split.overlapDeg);
  const { band, end } = isSurveyed ? split.words : { band: `${at} to ${to}`, end: to };
  const names = TEXT.report.classWords(at, band, end);
  const total = CLASSES.slice(0, MACHINABLE_CLASSES).reduce((sum, name) => sum + areas[name], 0);
  const rows = CLASSES.filter((name, i) =>
    i < MACHINABLE_CLASSES ? bands === null || hidden.has(name) : facts.classAreasMm2[name] > 0,
  );
  list.replaceChildren(
    ...(bands === null ? [] : bandItems(bands)),
    ...rows.map((name) => {
      const row = item(`url(#view-${name})`, names[name], areaText(areas[name]));
      const button = make('button', { type: 'button' }, ...row.childNodes);
      press(button, !hidden.has(name));
      button.addEventListener('click', () => onToggle(name));
      row.replaceChildren(button);
      row.dataset.cls = name;
      row.dataset.area = String(areas[name]);
      if (CLASSES.indexOf(name) < MACHINABLE_CLASSES && total > 0)
        row.title = `${shown((100 * areas[name]) / total, 1)} % ${words.machinable}`;
      return row;
    }),
  );
}

/** One line of the legend for each band. */
export function bandItems({ names, colours, hatched, areasMm2 }: Bands): HTMLLIElement[] {
  const bands = names.map((name, i) =>
    item(colours[i], name, areasMm2 === undefined ? '' : areaText(areasMm2[i])),
  );
  return [...bands, ...hatched.map(({ pattern, name }) => item(`url(#${pattern})`, name, ''))];
}

function item(fill: string, name: string, amount: string): HTMLLIElement {
  const row = make('li', { innerHTML: swatch(fill) });
  row.append(make('span', { textContent: name }), make('span', { textContent: amount, className: 'a' }));
  return row;
}
