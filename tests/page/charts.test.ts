import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { barChart, barTimeline, lineChart } from '../../src/write/report-charts.js';
import { REPORT_STYLE } from '../../src/write/report-style.js';
import { launchBrowser, newPage } from './browser.js';

let browser: Browser, page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  page = await newPage(browser);
});
afterAll(() => browser.close());

/** A text as it is drawn: its corners in the chart's own units, turned as it is turned. */
interface Label {
  readonly text: string;
  readonly corners: readonly (readonly [number, number])[];
}

/** Labels of a chart, and its size, laid out by the browser in the report's face. */
async function drawn(
  svg: string,
): Promise<{ readonly labels: Label[]; readonly width: number; readonly height: number }> {
  await page.setContent(`<style>${REPORT_STYLE}</style><figure>${svg}</figure>`);
  return page.evaluate(() => {
    const { width, height } = document.querySelector('svg')!.viewBox.baseVal;
    const labels = [...document.querySelectorAll('svg text')].map((element) => {
      const own = element as SVGTextElement,
        box = own.getBBox(),
        turn = own.transform.baseVal.consolidate()?.matrix;
      const corners = [
        [box.x, box.y],
        [box.x + box.width, box.y],
        [box.x + box.width, box.y + box.height],
        [box.x, box.y + box.height],
      ].map(([x, y]): [number, number] =>
        turn === undefined ? [x, y] : [turn.a * x + turn.c * y + turn.e, turn.b * x + turn.d * y + turn.f],
      );
      return { text: own.textContent ?? '', corners };
    });
    return { labels, width, height };
  });
}

/** Of a box the line above and below its letters counts for nothing: so much of each may be shared. */
const AIR = 2.5;

/** Whether two convex shapes overlap: no side of either parts them (separating axis theorem). */
function overlap(a: Label, b: Label): boolean {
  return [a, b].every(({ corners }) =>
    corners.every(([x, y], i) => {
      const [u, v] = corners[(i + 1) % 4];
      const length = Math.sqrt((u - x) ** 2 + (v - y) ** 2) || 1,
        normal = [(v - y) / length, (x - u) / length];
      const span = (of: Label): [number, number] => {
        const along = of.corners.map(([p, q]) => p * normal[0] + q * normal[1]);
        return [Math.min(...along), Math.max(...along)];
      };
      const [[low, high], [least, most]] = [span(a), span(b)];
      return high - AIR > least && most - AIR > low;
    }),
  );
}

async function expectApart(svg: string): Promise<Label[]> {
  const { labels, width, height } = await drawn(svg);
  const clashes = labels.flatMap((one, i) =>
    labels.slice(i + 1).flatMap((other) => (overlap(one, other) ? [`${one.text} / ${other.text}`] : [])),
  );
  expect(clashes).toEqual([]);
  for (const { text, corners } of labels)
    for (const [x, y] of corners) {
      expect(Math.min(x, y), text).toBeGreaterThan(-AIR);
      expect(Math.max(x - width, y - height), text).toBeLessThan(AIR);
    }
  return labels;
}

const words = { id: 'c', title: 'title', description: 'told', across: 'cutter, in order of use', up: 'min' };
const middle = ({ corners }: Label, k: 0 | 1): number => (corners[0][k] + corners[2][k]) / 2;
const numeric = (labels: readonly Label[]) =>
  labels
    .map((label) => ({ value: Number(label.text.replaceAll('\u202F', '')), label }))
    .filter(({ value, label }) => label.text.trim() !== '' && Number.isFinite(value));

test('the test sees labels that overlap, and those that do not', async () => {
  const text = (x: number, turn: string) => `<text x="${x}" y="50" ${turn}>ball-12</text>`;
  const chart = (x: number, turn = '') =>
    `<svg class="chart" viewBox="0 0 380 100">${text(100, turn)}${text(x, turn)}</svg>`;
  const clash = async (svg: string) => {
    const [a, b] = (await drawn(svg)).labels;
    return overlap(a, b);
  };
  expect(await clash(chart(120))).toBe(true);
  expect(await clash(chart(180))).toBe(false);
  const upright = (x: number) => text(x, `transform="rotate(-90 ${x} 50)"`);
  expect(await clash(`<svg class="chart" viewBox="0 0 380 100">${upright(100)}${upright(120)}</svg>`)).toBe(
    false,
  );
});

test.each([
  [1, 'ball-6'],
  [4, 'ball-6'],
  [9, 'ball-0.75'],
  [14, 'a long name of a cutter'],
  [17, 'ball-0.75'],
  [24, 'bull-12'],
])('%d bars that are named "%s" and so on: every name is written, no two overlap', async (count, name) => {
  const bars = Array.from({ length: count }, (_, i) => ({ label: `${name}${i}`, value: 1000 / (i + 1) }));
  const labels = await expectApart(barChart({ ...words, isNamed: true }, bars));
  const under = labels.filter(({ text }) => /^(b[au]ll|a long)/.test(text));
  expect(under.length).toBe(count);
});

test.each([3, 12, 40])('%d bars by radius: names are left out where there is no room', async (count) => {
  const bars = Array.from({ length: count }, (_, i) => ({ label: `${0.25 * (i + 1)}`, value: 12_345.6 * i }));
  const labels = await expectApart(barChart({ ...words, across: 'ball radius, mm', up: 'mm²' }, bars));
  expect(labels.length).toBeGreaterThan(4);
});

test.each([0.004, 7, 99.9, 4561, 1_234_567])(
  'up to %d: a bar is as high as the ticks beside it say',
  async (most) => {
    const values = [1, 0.61, 0.08].map((share) => share * most);
    const svg = barChart(
      words,
      values.map((value, i) => ({ label: 'abc'[i], value })),
    );
    const ticks = numeric(await expectApart(svg));
    expect(ticks.length).toBeGreaterThanOrEqual(3);
    // The first tick is 0, on the axis; one line of text is centred on its grid line but for a pixel.
    const [zero, last] = [ticks[0], ticks[ticks.length - 1]];
    const perUnit = (middle(zero.label, 1) - middle(last.label, 1)) / (last.value - zero.value);
    const heights = [...svg.matchAll(/<rect class="bar"[^>]* height="([\d.]+)"/g)].map(([, h]) => Number(h));
    expect(heights.length).toBe(3);
    heights.forEach((height, i) => expect(Math.abs(height - perUnit * values[i])).toBeLessThan(0.6));
    for (const { value, label } of ticks)
      expect(Math.abs(middle(zero.label, 1) - middle(label, 1) - perUnit * value)).toBeLessThan(0.6);
  },
);

test('bars of a scale begin at their ticks', async () => {
  const bars = [
    { label: 'level', value: 3 },
    ...Array.from({ length: 18 }, (_, i) => ({ label: `${5 * i}`, value: i })),
  ];
  const svg = barChart({ ...words, isScale: true, across: 'wall angle, ° from level', up: 'mm²' }, bars);
  const labels = await expectApart(svg);
  expect(labels.map(({ text }) => text)).toContain('level');
  const ticks = [...svg.matchAll(/<path class="tick" d="M([\d.]+) /g)].map(([, x]) => Number(x));
  const under = numeric(labels).filter(({ label }) => middle(label, 1) > 174);
  expect(under.map(({ value }) => value)).toEqual([15, 30, 45, 60, 75]);
  expect(ticks.length).toBe(under.length);
  const step = (380 - 52 - 12) / bars.length;
  under.forEach(({ value, label }, i) => {
    const from = 52 + step * (1 + value / 5);
    expect(Math.abs(ticks[i] - from)).toBeLessThan(0.1);
    expect(Math.abs(middle(label, 0) - from)).toBeLessThan(0.6);
  });
});

test.each([
  [45, 44],
  [45, 45.6],
  [45, 55],
  [3, 87],
  [88, 89],
  [1, 2],
])(
  'a line with marks at %d and %d: ticks are true, names apart, no leader through any',
  async (chosen, fastest) => {
    const points = Array.from({ length: 89 }, (_, i) => ({ x: i + 1, y: 30 + ((i - 44) / 10) ** 2 }));
    const on = (x: number) => ({ x, y: 30 + ((x - 45) / 10) ** 2, label: `fastest ${x}°` });
    const svg = lineChart({ ...words, across: 'split, ° of wall angle' }, points, [on(chosen), on(fastest)]);
    const labels = await expectApart(svg);
    for (const lead of svg.matchAll(/class="lead" d="M([\d.]+) ([\d.]+)V([\d.]+)"/g)) {
      const [x, low, high] = lead.slice(1).map(Number);
      for (const { text, corners } of labels)
        expect(
          x < corners[0][0] || x > corners[1][0] || low < corners[0][1] + AIR || high > corners[2][1] - AIR,
          `${text}, leader at ${x}`,
        ).toBe(true);
    }
    const dots = [...svg.matchAll(/<circle class="dot" cx="([\d.]+)"/g)].map(([, x]) => Number(x));
    const ticks = numeric(labels).filter(({ label }) => middle(label, 1) > 174);
    expect(ticks.length).toBeGreaterThanOrEqual(4);
    const [first, last] = [ticks[0], ticks[ticks.length - 1]];
    const perDeg = (middle(last.label, 0) - middle(first.label, 0)) / (last.value - first.value);
    [chosen, fastest].forEach((deg, i) => {
      const x = middle(first.label, 0) + perDeg * (deg - first.value);
      expect(Math.abs(dots[i] - x)).toBeLessThan(0.6);
    });
  },
);

test.each([1, 7, 30])('a timeline of %d stages: bars begin and end where the axis says', async (count) => {
  const spans = Array.from({ length: count }, (_, i) => ({
    label: `corners before, a-cutter-of-${i}`,
    from: 2.5 * i,
    to: 2.5 * i + (i % 2 === 0 ? 2.5 : 0.01),
  }));
  const svg = barTimeline({ ...words, across: 'min' }, spans);
  const labels = await expectApart(svg);
  const axis = numeric(labels).filter(({ label }) => label.corners[0][1] > 24 + 20 * count - 2);
  expect(axis.length).toBeGreaterThanOrEqual(3);
  const [first, last] = [axis[0], axis[axis.length - 1]];
  const perUnit = (middle(last.label, 0) - middle(first.label, 0)) / (last.value - first.value);
  const bars = [...svg.matchAll(/<rect class="bar" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"/g)];
  expect(bars.length).toBe(count);
  bars.forEach(([, x, width], i) => {
    expect(Math.abs(Number(x) - middle(first.label, 0) - perUnit * spans[i].from)).toBeLessThan(0.7);
    expect(Math.abs(Number(width) - Math.max(0.5, perUnit * (spans[i].to - spans[i].from)))).toBeLessThan(
      0.6,
    );
  });
});
