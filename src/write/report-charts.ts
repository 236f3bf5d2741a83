import type { SurfaceClass } from '../core/classes.js';
import { niceLengthMm, xmlText } from './svg-text.js';
import { shown } from './report-numbers.js';

const WIDTH = 380,
  HEIGHT = 220;
const LEFT = 52,
  RIGHT = 12,
  TOP = 24,
  BOTTOM = 40;

export interface Bar {
  readonly label: string;
  readonly value: number;
  /** hatch and colour; absent: plain */
  readonly cls?: SurfaceClass;
}

export interface ChartWords {
  readonly id: string;
  readonly title: string;
  readonly description: string;
  readonly across: string;
  readonly up: string;
}

/** Bars side by side, each labelled under the axis where there is room. */
export function barChart(words: ChartWords, bars: readonly Bar[]): string {
  const top = axisTop(Math.max(...bars.map(({ value }) => value), 0));
  const step = (WIDTH - LEFT - RIGHT) / Math.max(1, bars.length);
  const every = Math.max(1, Math.ceil(26 / step));
  const shapes = bars.map(({ label, value, cls }, i) => {
    const x = LEFT + i * step,
      y = upAt(value, top);
    const fill = cls === undefined ? 'class="bar"' : `class="bar-of" fill="url(#key-${cls})"`;
    const bar =
      `<rect ${fill} x="${at(x + step * 0.1)}" y="${at(y)}" width="${at(step * 0.8)}" ` +
      `height="${at(HEIGHT - BOTTOM - y)}"><title>${xmlText(`${label}: ${shown(value, 1)}`)}</title></rect>`;
    if (i % every !== 0) return bar;
    return `${bar}<text x="${at(x + step / 2)}" y="${HEIGHT - BOTTOM + 14}" text-anchor="middle">${xmlText(label)}</text>`;
  });
  return frame(words, top, shapes.join('\n'));
}

export interface LinePoint {
  readonly x: number;
  readonly y: number;
}

/** Values more than this many times the least are left off a line. */
const MOST_TIMES = 5;

/** One line through points, with marks set on it and named beside. */
export function lineChart(
  words: ChartWords,
  points: readonly LinePoint[],
  marks: readonly (LinePoint & { readonly label: string })[],
): string {
  // A split at the edge can take a hundred times as long: what matters lies near the lowest point.
  const most = MOST_TIMES * Math.min(...points.map(({ y }) => y));
  const shownPoints = points.filter(({ y }) => y <= most);
  const top = axisTop(Math.max(...shownPoints.map(({ y }) => y)));
  const low = points[0].x,
    high = points[points.length - 1].x;
  const acrossAt = (x: number): number =>
    LEFT + ((x - low) / Math.max(1e-9, high - low)) * (WIDTH - LEFT - RIGHT);
  const line = shownPoints.map(({ x, y }) => `${at(acrossAt(x))} ${at(upAt(y, top))}`).join('L');
  const ticks = tickValues(low, high).map(
    (x) =>
      `<text x="${at(acrossAt(x))}" y="${HEIGHT - BOTTOM + 14}" ` +
      `text-anchor="middle">${shown(x, 1)}</text><path class="tick" d="M${at(acrossAt(x))} ${HEIGHT - BOTTOM}v4"/>`,
  );
  const dots = marks
    .filter(({ y }) => y <= most)
    .map(({ x, y, label }, i) => {
      const u = acrossAt(x),
        v = upAt(y, top);
      const toLeft = u > WIDTH / 2;
      return (
        `<circle class="dot" cx="${at(u)}" cy="${at(v)}" r="4"/><text x="${at(u + (toLeft ? -7 : 7))}" ` +
        `y="${at(v - 8 - 12 * i)}" text-anchor="${toLeft ? 'end' : 'start'}">${xmlText(label)}</text>`
      );
    });
  return frame(words, top, `<path class="line" d="M${line}"/>${ticks.join('')}${dots.join('')}`);
}

const at = (value: number): string => String(Math.round(value * 10) / 10);
const upAt = (value: number, top: number): number =>
  HEIGHT - BOTTOM - (value / top) * (HEIGHT - BOTTOM - TOP);

/** A round number not below the largest value. */
function axisTop(largest: number): number {
  if (!(largest > 0)) return 1;
  const step = niceLengthMm(largest);
  return step * Math.ceil(largest / step - 1e-9);
}

function tickValues(low: number, high: number): number[] {
  const step = niceLengthMm(Math.max(1e-9, high - low) / 4);
  const first = Math.ceil(low / step - 1e-9);
  const count = Math.floor(high / step + 1e-9) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, i) => (first + i) * step);
}

function frame({ id, title, description, across, up }: ChartWords, top: number, content: string): string {
  const lines = [0, 0.25, 0.5, 0.75, 1].map((share) => {
    const y = upAt(share * top, top);
    return (
      `<path class="grid" d="M${LEFT} ${at(y)}H${WIDTH - RIGHT}"/>` +
      `<text x="${LEFT - 5}" y="${at(y + 4)}" text-anchor="end">${shown(share * top, top < 8 ? 2 : 0)}</text>`
    );
  });
  return (
    `<svg class="chart" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-labelledby="${id}-t ${id}-d">` +
    `<title id="${id}-t">${xmlText(title)}</title><desc id="${id}-d">${xmlText(description)}</desc>` +
    `${lines.join('')}${content}<path class="axis" d="M${LEFT} ${TOP}V${HEIGHT - BOTTOM}H${WIDTH - RIGHT}"/>` +
    `<text x="${WIDTH - RIGHT}" y="${HEIGHT - 8}" text-anchor="end">${xmlText(across)}</text>` +
    `<text x="2" y="10">${xmlText(up)}</text></svg>`
  );
}
