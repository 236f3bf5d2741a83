import type { SurfaceClass } from '../core/classes.js';
import type { Plan } from '../plan/plan.js';
import { STEPS_PER_DEG, type AngleAreas } from './angle-areas.js';
import { barChart, lineChart } from './report-charts.js';
import { areaText, htmlTable, minutesText, shown, type Column } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const words = TEXT.report.chartWords,
  { heads } = TEXT.report.tables;

const BIN_DEG = 5;

/** The charts of a plan, each with its table. */
export function chartsHtml(plan: Plan, areas: AngleAreas): string {
  const charts = [angleChart(plan, areas), reachChart(plan), timeChart(plan)];
  if (plan.split.curve.length > 1) charts.push(splitChart(plan));
  return `<div class="two charts">${charts.join('\n')}</div>`;
}

interface Tabled {
  readonly title: string;
  readonly chart: string;
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly string[])[];
}

const figure = ({
  title,
  chart,
  columns,
  rows,
}: Tabled): string => `<figure><figcaption>${xmlText(title)}</figcaption>${chart}
<details class="no-print"><summary>${TEXT.report.table}</summary>${htmlTable(title, columns, rows)}</details></figure>`;

function angleChart(plan: Plan, { below, upTo }: AngleAreas): string {
  const { angleDeg, overlapDeg } = plan.split;
  const classAt = (deg: number): SurfaceClass => {
    if (deg < angleDeg) return 'shallow';
    return deg <= angleDeg + overlapDeg ? 'overlap' : 'steep';
  };
  const last = below.length - 1;
  const bins = [{ label: 'level', cls: 'level' as SurfaceClass, value: upTo[STEPS_PER_DEG / 2] }];
  for (let deg = 0; deg < 90; deg += BIN_DEG) {
    const from = deg === 0 ? upTo[STEPS_PER_DEG / 2] : below[deg * STEPS_PER_DEG];
    const to = deg + BIN_DEG === 90 ? upTo[last] : below[(deg + BIN_DEG) * STEPS_PER_DEG];
    bins.push({ label: `${deg}`, cls: classAt(deg + BIN_DEG / 2), value: Math.max(0, to - from) });
  }
  const { title } = words.angle;
  return figure({
    title,
    chart: barChart(
      {
        id: 'c-angle',
        title,
        across: words.angle.across,
        up: 'mm²',
        description: words.angle.description(
          BIN_DEG,
          areaText(Math.max(...bins.map(({ value }) => value))),
          plan.setup.overlapMm !== null,
        ),
      },
      bins,
    ),
    columns: [{ head: heads.wallAngle }, { head: heads.class }, { head: heads.area, right: true }],
    rows: bins.map(({ label, cls, value }) => [
      label === 'level' ? words.angle.level : words.angle.bin(label, String(Number(label) + BIN_DEG)),
      cls,
      areaText(value),
    ]),
  });
}

function reachChart({ reach: { byRadius } }: Plan): string {
  const { title } = words.reach;
  return figure({
    title,
    chart: barChart(
      {
        id: 'c-reach',
        title,
        across: words.reach.across,
        up: 'mm²',
        description: words.reach.description(
          areaText(byRadius[0]?.unreachedAreaMm2 ?? 0),
          areaText(byRadius[byRadius.length - 1]?.unreachedAreaMm2 ?? 0),
        ),
      },
      byRadius.map(({ radiusMm, unreachedAreaMm2 }) => ({
        label: shown(radiusMm, 2),
        value: unreachedAreaMm2,
      })),
    ),
    columns: [
      { head: heads.ballRadius, right: true },
      { head: heads.notReached, right: true },
    ],
    rows: byRadius.map(({ radiusMm, unreachedAreaMm2 }) => [
      `${shown(radiusMm, 3)} mm`,
      areaText(unreachedAreaMm2),
    ]),
  });
}

function timeChart({ ladder, time }: Plan): string {
  const { title } = words.time;
  const bars = [
    ...ladder.map(({ cutterId, minutes }) => ({ label: cutterId, value: minutes })),
    { label: words.time.changes, value: time.toolChangeMinutes },
  ];
  return figure({
    title,
    chart: barChart(
      {
        id: 'c-time',
        title,
        across: words.time.across,
        up: 'min',
        description: words.time.description(minutesText(time.totalMinutes)),
      },
      bars,
    ),
    columns: [{ head: heads.cutter }, { head: heads.time, right: true }],
    rows: bars.map(({ label, value }) => [xmlText(label), minutesText(value)]),
  });
}

function splitChart({ split: { curve, angleDeg, fastestDeg } }: Plan): string {
  const { title } = words.split;
  const near = (deg: number) =>
    curve.reduce((a, b) => (Math.abs(b.angleDeg - deg) < Math.abs(a.angleDeg - deg) ? b : a));
  const marks = [
    { x: near(angleDeg).angleDeg, y: near(angleDeg).minutes, label: words.split.chosen(shown(angleDeg, 1)) },
  ];
  if (fastestDeg !== null && Math.abs(fastestDeg - angleDeg) > 0.5) {
    marks.push({
      x: near(fastestDeg).angleDeg,
      y: near(fastestDeg).minutes,
      label: words.split.fastest(shown(fastestDeg, 1)),
    });
  }
  return figure({
    title,
    chart: lineChart(
      {
        id: 'c-split',
        title,
        across: words.split.across,
        up: 'min',
        description:
          fastestDeg === null
            ? words.split.none
            : words.split.description(shown(fastestDeg, 1), minutesText(near(fastestDeg).minutes)),
      },
      curve.map((point) => ({ x: point.angleDeg, y: point.minutes })),
      marks,
    ),
    columns: [
      { head: heads.split, right: true },
      { head: heads.time, right: true },
    ],
    rows: curve
      .filter((_, i) => i % 5 === 0)
      .map((point) => [`${shown(point.angleDeg, 1)}°`, minutesText(point.minutes)]),
  });
}
