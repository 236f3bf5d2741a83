import { CLASSES, MACHINABLE_CLASSES, type SurfaceClass } from '../../core/classes.js';
import { cividisBands } from '../../write/cividis.js';
import { areaText, shown } from '../../write/report-numbers.js';
import type { ColourMode } from '../../write/report-controls.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';

const words = TEXT.view;

/** Bands of a field: value i lies in the first band whose limit it does not exceed. */
export interface Bands {
  readonly colours: readonly string[];
  /** one fewer than colours, ascending */
  readonly limits: readonly number[];
  readonly names: readonly string[];
}

/** Bands that a field is shown in; null for classes. */
export function bandsOf(mode: ColourMode, facts: SceneFacts): Bands | null {
  if (mode === 'class') return null;
  if (mode === 'angle') return named([10, 20, 30, 40, 50, 60, 70, 80], (deg) => `${shown(deg, 0)}°`);
  if (mode === 'reach') {
    const { radiiMm } = facts;
    const names = radiiMm.map((radius, i) => (i === 0 ? words.upTo(`${shown(radius, 3)} mm`)
      : words.between(shown(radiiMm[i - 1], 3), `${shown(radius, 3)} mm`)));
    const last = radiiMm.length > 0 ? [words.from(`${shown(radiiMm[radiiMm.length - 1], 3)} mm`)] : ['–'];
    const all = [...names, ...last];
    return { colours: cividisBands(all.length), limits: radiiMm.map((_, i) => i + 0.5), names: all };
  }
  if (mode === 'gap') {
    const { toleranceMm: t } = facts;
    const bands = named([t, 2.5 * t, 5 * t, 12.5 * t, 25 * t, 50 * t], (mm) => `${shown(mm, 3)} mm`);
    return { ...bands, names: [`${words.reached}, ${bands.names[0]}`, ...bands.names.slice(1, -1), `${bands.names[bands.names.length - 1]}; ${words.noFit}`] };
  }
  return named([0.002, 0.005, 0.01, 0.02, 0.05], (mm) => `${shown(mm, 3)} mm`);
}

function named(limits: readonly number[], unit: (value: number) => string): Bands {
  const names = [words.upTo(unit(limits[0])), ...limits.slice(1).map((limit, i) => words.between(unit(limits[i]), unit(limit))), words.from(unit(limits[limits.length - 1]))];
  return { colours: cividisBands(names.length), limits, names };
}

/** Fills the legend: classes with areas, or bands with their limits. */
export function fillLegend(
  list: HTMLElement, bands: Bands | null, facts: SceneFacts, areas: Readonly<Record<SurfaceClass, number>>,
  splitDeg: number, endDeg: number,
): void {
  if (bands !== null) {
    list.replaceChildren(...bands.names.map((name, i) => item(colourSwatch(bands.colours[i]), name, '')));
    return;
  }
  const names = TEXT.report.classWords(shown(splitDeg, 1), shown(endDeg, 1));
  const total = CLASSES.slice(0, MACHINABLE_CLASSES).reduce((sum, name) => sum + areas[name], 0);
  const rows = CLASSES.filter((name, i) => i < MACHINABLE_CLASSES || facts.classAreasMm2[name] > 0);
  list.replaceChildren(...rows.map((name) => {
    const row = item(classSwatch(name), names[name], areaText(areas[name]));
    row.dataset.cls = name;
    row.dataset.area = String(areas[name]);
    if (CLASSES.indexOf(name) < MACHINABLE_CLASSES && total > 0) row.title = `${shown((100 * areas[name]) / total, 1)} % ${words.machinable}`;
    return row;
  }));
}

function item(swatch: Element, name: string, amount: string): HTMLLIElement {
  const row = document.createElement('li');
  const label = document.createElement('span'), right = document.createElement('span');
  label.textContent = name;
  right.textContent = amount;
  right.className = 'a';
  row.append(swatch, label, right);
  return row;
}

const SVG = 'http://www.w3.org/2000/svg';

function box(fill: string): SVGSVGElement {
  const svg = document.createElementNS(SVG, 'svg'), rect = document.createElementNS(SVG, 'rect');
  svg.setAttribute('class', 'swatch');
  svg.setAttribute('viewBox', '0 0 30 18');
  svg.setAttribute('aria-hidden', 'true');
  rect.setAttribute('width', '30');
  rect.setAttribute('height', '18');
  rect.setAttribute('fill', fill);
  svg.append(rect);
  return svg;
}

const colourSwatch = (colour: string): SVGSVGElement => box(colour);
const classSwatch = (name: SurfaceClass): SVGSVGElement => box(`url(#view-${name})`);
