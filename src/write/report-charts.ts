import type { SurfaceClass } from '../core/classes.js';
import { cutText, niceLengthMm, xmlText } from './svg-text.js';
import { shown } from './report-numbers.js';

const WIDTH = 380,
  HEIGHT = 194;
const LEFT = 52,
  RIGHT = 12,
  TOP = 24,
  BOTTOM = 20;

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
  /** whether labels under the bars are names: all are written, slanted where they would meet */
  readonly isNamed?: boolean;
  /** whether bars after the first stand for spans of a scale: their labels are where they begin, and have ticks */
  readonly isScale?: boolean;
}

/** Mean width of a letter of the charts' 11 px, what a line of them takes, and the longest name. */
const LETTER = 6.4,
  LINE_PX = 13.5,
  MOST_LETTERS = 11;
/** Slanted names lean no less, degrees; where bars are close they lean more, a line apart. */
const LEAST_SLANT = 32;

/** Bars side by side, each labelled under the axis where there is room. */
export function barChart(words: ChartWords, bars: readonly Bar[]): string {
  const scale = axisScale(Math.max(...bars.map(({ value }) => value), 0));
  const step = (WIDTH - LEFT - RIGHT) / Math.max(1, bars.length);
  const widest = LETTER * Math.max(...bars.map(({ label }) => [...label].length), 1) + 4;
  const every = words.isNamed ? 1 : Math.ceil(widest / step),
    slant =
      words.isNamed && widest > step
        ? Math.max(LEAST_SLANT, (Math.asin(Math.min(1, LINE_PX / step)) * 180) / Math.PI)
        : 0;
  const shapes = bars.map(({ label, value, cls }, i) => {
    const x = LEFT + i * step,
      y = upAt(value, scale.top);
    const fill = cls === undefined ? 'class="bar"' : `class="bar-of" fill="url(#key-${cls})"`;
    const bar =
      `<rect ${fill} x="${at(x + step * 0.1)}" y="${at(y)}" width="${at(step * 0.8)}" ` +
      `height="${at(HEIGHT - BOTTOM - y)}"><title>${xmlText(`${label}: ${shown(value, 1)}`)}</title></rect>`;
    const isTick = words.isScale === true && i > 0;
    // The first bar's name has no room for a tick beside it.
    if (isTick ? i === 1 || (i - 1) % every !== 0 : i % every !== 0) return bar;
    if (isTick) return `${bar}${tickUnder(x, label)}`;
    const under = `x="${at(x + step / 2)}" y="${HEIGHT - BOTTOM + (slant > 0 ? 11 : 15)}"`;
    const place =
      slant > 0
        ? `text-anchor="end" transform="rotate(${at(-slant)} ${at(x + step / 2)} ${HEIGHT - BOTTOM + 11})"`
        : 'text-anchor="middle"';
    return `${bar}<text ${under} ${place}>${xmlText(cutText(label, MOST_LETTERS))}</text>`;
  });
  const deep = 16 + Math.min(widest, LETTER * MOST_LETTERS) * Math.sin((slant * Math.PI) / 180);
  return frame(words, scale, shapes.join('\n'), Math.max(0, deep - BOTTOM));
}

const tickUnder = (x: number, label: string): string =>
  `<text x="${at(x)}" y="${HEIGHT - BOTTOM + 15}" text-anchor="middle">${xmlText(label)}</text>` +
  `<path class="tick" d="M${at(x)} ${HEIGHT - BOTTOM}v4"/>`;

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
  const scale = axisScale(Math.max(...shownPoints.map(({ y }) => y)));
  const low = points[0].x,
    high = points[points.length - 1].x;
  const acrossAt = (x: number): number =>
    LEFT + ((x - low) / Math.max(1e-9, high - low)) * (WIDTH - LEFT - RIGHT);
  const line = shownPoints.map(({ x, y }) => `${at(acrossAt(x))} ${at(upAt(y, scale.top))}`).join('L');
  const ticks = tickValues(low, high).map((x) => tickUnder(acrossAt(x), shown(x, 1)));
  const dots = marks
    .filter(({ y }) => y <= most)
    .map(({ x, y, label }, i) => {
      const u = acrossAt(x),
        v = upAt(y, scale.top);
      // Above the line, a row for each, away from the leaders of those before where there is room.
      const row = TOP + 14 + 14 * i,
        long = LETTER * label.length;
      const isLeft = i > 0 ? x < marks[0].x && u - long > LEFT : u > WIDTH / 2,
        toLeft = isLeft || u + long > WIDTH;
      return (
        `<path class="lead" d="M${at(u)} ${at(v - 4)}V${at(Math.min(v - 4, row))}"/>` +
        `<circle class="dot" cx="${at(u)}" cy="${at(v)}" r="4"/><text class="halo" x="${at(u + (toLeft ? -4 : 4))}" ` +
        `y="${at(row + 4)}" text-anchor="${toLeft ? 'end' : 'start'}">${xmlText(label)}</text>`
      );
    });
  return frame(words, scale, `<path class="line" d="M${line}"/>${ticks.join('')}${dots.join('')}`);
}

export interface Span {
  readonly label: string;
  readonly from: number;
  readonly to: number;
}

const SHEET_WIDTH = 860,
  LINE = 20,
  VALUES = 70;

/** Spans one under the other along one axis from 0, each with its name and its length. */
export function barTimeline(
  { id, title, description, across }: Omit<ChartWords, 'up' | 'isNamed'>,
  spans: readonly Span[],
): string {
  const last = Math.max(...spans.map(({ to }) => to), 1e-9),
    bottom = TOP + LINE * spans.length,
    names = 16 + LETTER * Math.max(...spans.map(({ label }) => [...label].length));
  const acrossAt = (value: number): number => names + (value / last) * (SHEET_WIDTH - names - VALUES);
  const ticks = tickValues(0, last).map(
    (value) =>
      `<path class="grid" d="M${at(acrossAt(value))} ${TOP}V${bottom}"/>` +
      `<text x="${at(acrossAt(value))}" y="${bottom + 14}" text-anchor="middle">${shown(value, 1)}</text>`,
  );
  const bars = spans.map(({ label, from, to }, i) => {
    const y = TOP + LINE * i;
    return (
      `<text x="${at(names - 8)}" y="${y + 14}" text-anchor="end">${xmlText(label)}</text>` +
      `<rect class="bar" x="${at(acrossAt(from))}" y="${y + 4}" ` +
      `width="${at(Math.max(0.5, acrossAt(to) - acrossAt(from)))}" height="${LINE - 7}"/>` +
      `<text class="halo" x="${at(acrossAt(to) + 5)}" y="${y + 14}">${shown(to - from, 1)}</text>`
    );
  });
  return (
    `<svg class="chart wide" viewBox="0 0 ${SHEET_WIDTH} ${bottom + 20}" role="img" aria-labelledby="${id}-t ${id}-d">` +
    `<title id="${id}-t">${xmlText(title)}</title><desc id="${id}-d">${xmlText(description)}</desc>` +
    `${ticks.join('')}${bars.join('\n')}<path class="axis" d="M${at(names)} ${TOP}V${bottom}H${SHEET_WIDTH - VALUES}"/>` +
    `<text x="${SHEET_WIDTH - 4}" y="${bottom + 14}" text-anchor="end">${xmlText(across)}</text></svg>`
  );
}

const MOST_STEPS = 5;

const at = (value: number): string => String(Math.round(value * 10) / 10);
const upAt = (value: number, top: number): number =>
  HEIGHT - BOTTOM - (value / top) * (HEIGHT - BOTTOM - TOP);

interface Scale {
  readonly top: number;
  readonly step: number;
}

/** Round steps from 0, three to five of them, to a top not below the largest value. */
function axisScale(largest: number): Scale {
  if (!(largest > 0)) return { top: 1, step: 1 };
  const least = largest / MOST_STEPS,
    decade = 10 ** Math.floor(Math.log10(least));
  const step = [1, 2, 5, 10].map((digit) => digit * decade).find((one) => one >= least * (1 - 1e-9)) ?? least;
  return { top: step * Math.ceil(largest / step - 1e-9), step };
}

function tickValues(low: number, high: number): number[] {
  const step = niceLengthMm(Math.max(1e-9, high - low) / 4);
  const first = Math.ceil(low / step - 1e-9);
  const count = Math.floor(high / step + 1e-9) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, i) => (first + i) * step);
}

function frame(
  { id, title, description, across, up }: ChartWords,
  { top, step }: Scale,
  content: string,
  below = 0,
): string {
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const lines = Array.from({ length: Math.round(top / step) + 1 }, (_, i) => {
    const y = upAt(i * step, top);
    return (
      `<path class="grid" d="M${LEFT} ${at(y)}H${WIDTH - RIGHT}"/>` +
      `<text x="${LEFT - 5}" y="${at(y + 4)}" text-anchor="end">${shown(i * step, decimals)}</text>`
    );
  });
  return (
    `<svg class="chart" viewBox="0 0 ${WIDTH} ${at(HEIGHT + below)}" role="img" aria-labelledby="${id}-t ${id}-d">` +
    `<title id="${id}-t">${xmlText(title)}</title><desc id="${id}-d">${xmlText(description)}</desc>` +
    `${lines.join('')}${content}<path class="axis" d="M${LEFT} ${TOP}V${HEIGHT - BOTTOM}H${WIDTH - RIGHT}"/>` +
    `<text x="${WIDTH - RIGHT}" y="10" text-anchor="end">${xmlText(across)} </text>` +
    `<text x="2" y="10">${xmlText(up)}</text></svg>`
  );
}
