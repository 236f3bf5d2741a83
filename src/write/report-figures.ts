import type { SurfaceClass } from '../core/classes.js';
import type { Plan } from '../plan/plan.js';
import { STEPS_PER_DEG, type AngleAreas } from './angle-areas.js';
import { barChart, lineChart, type Bar } from './report-charts.js';
import {
  areaText,
  htmlTable,
  lengthText,
  minutesText,
  numbers,
  shown,
  words,
  type Column,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { hasPasses } from './step-words.js';
import { xmlText } from './svg-text.js';
import { workedRegions } from './work-table.js';

const text = TEXT.report.chartWords,
  { heads } = TEXT.report.tables;

const BIN_DEG = 5;

/** The charts of a plan, each with its table. */
export function chartsHtml(plan: Plan, areas: AngleAreas): string {
  const charts = [angleChart(plan, areas), reachChart(plan), timeChart(plan), ...regionChart(plan)];
  if (plan.split.curve.length > 1 && hasPasses(plan)) charts.push(splitChart(plan));
  return `<div class="two charts">${charts.join('\n')}</div>`;
}

/** A chart with what it shows as a table. */
const figure = <T>(title: string, chart: string, rows: readonly T[], columns: readonly Column<T>[]): string =>
  `<figure><figcaption>${xmlText(title)}</figcaption>${chart}
<details class="no-print"><summary>${TEXT.report.table}</summary>${htmlTable(title, rows, columns)}</details></figure>`;

function angleChart(plan: Plan, { below, upTo }: AngleAreas): string {
  const { angleDeg, overlapDeg } = plan.split;
  const classAt = (deg: number): SurfaceClass => {
    if (deg < angleDeg) return 'shallow';
    return deg <= angleDeg + overlapDeg ? 'overlap' : 'steep';
  };
  const last = below.length - 1;
  // Small islands count with what is round them: the bar is that of the class.
  const levelMm2 = plan.classes.level.areaMm2;
  const bins = [{ label: 'level', cls: 'level' as SurfaceClass, value: levelMm2 }];
  for (let deg = 0; deg < 90; deg += BIN_DEG) {
    const from = deg === 0 ? levelMm2 : below[deg * STEPS_PER_DEG];
    const to = deg + BIN_DEG === 90 ? upTo[last] : below[(deg + BIN_DEG) * STEPS_PER_DEG];
    bins.push({ label: `${deg}`, cls: classAt(deg + BIN_DEG / 2), value: Math.max(0, to - from) });
  }
  const { title, across, description, level, bin } = text.angle;
  const largest = areaText(Math.max(...bins.map(({ value }) => value)));
  const chart = barChart(
    {
      id: 'c-angle',
      isScale: true,
      title,
      across,
      up: 'mm²',
      description: description(BIN_DEG, largest, plan.setup.overlapMm !== null),
    },
    bins,
  );
  return figure(title, chart, bins, [
    words(heads.wallAngle, ({ label }) =>
      label === 'level' ? level : bin(label, `${Number(label) + BIN_DEG}`),
    ),
    words(heads.class, ({ cls }) => cls),
    numbers(heads.area, ({ value }) => areaText(value)),
  ]);
}

function reachChart({ reach: { byRadius } }: Plan): string {
  const { title, across, description } = text.reach;
  const area = (i: number): string => areaText(byRadius.at(i)?.unreachedAreaMm2 ?? 0);
  const chart = barChart(
    { id: 'c-reach', title, across, up: 'mm²', description: description(area(0), area(-1)) },
    byRadius.map(({ radiusMm, unreachedAreaMm2 }) => ({
      label: shown(radiusMm, 2),
      value: unreachedAreaMm2,
    })),
  );
  return figure(title, chart, byRadius, [
    numbers(heads.ballRadius, ({ radiusMm }) => lengthText(radiusMm, 3)),
    numbers(heads.notReached, ({ unreachedAreaMm2 }) => areaText(unreachedAreaMm2)),
  ]);
}

function timeChart({ ladder, time }: Plan): string {
  const { title, across, changes, description } = text.time;
  const bars = [
    ...ladder.map(({ cutterId, minutes }) => ({ label: cutterId, value: minutes })),
    { label: changes, value: time.toolChangeMinutes },
  ];
  const chart = barChart(
    {
      id: 'c-time',
      isNamed: true,
      title,
      across,
      up: 'min',
      description: description(minutesText(time.totalMinutes)),
    },
    bars,
  );
  return figure(title, chart, bars, [
    words(heads.cutter, ({ label }) => xmlText(label)),
    numbers(heads.time, ({ value }) => minutesText(value)),
  ]);
}

/** So many regions have a bar of their own. */
const MOST_REGIONS = 10;

function regionChart(plan: Plan): string[] {
  const regions = workedRegions(plan);
  if (regions.length === 0) return [];
  const { title, across, others, description } = text.regions;
  const bars: Bar[] = regions
    .slice(0, MOST_REGIONS)
    .map(({ id, class: cls, minutes }) => ({ label: `${id}`, cls, value: minutes }));
  const left = regions.slice(MOST_REGIONS).reduce((sum, { minutes }) => sum + minutes, 0);
  if (left > 0) bars.push({ label: others, value: left });
  const [{ id, minutes }] = regions;
  const chart = barChart(
    {
      id: 'c-regions',
      isNamed: true,
      title,
      across,
      up: 'min',
      description: description(id, minutesText(minutes)),
    },
    bars,
  );
  return [
    figure(title, chart, bars, [
      words(heads.region, ({ label }) => label),
      words(heads.class, ({ cls }) => cls ?? '–'),
      numbers(heads.time, ({ value }) => minutesText(value)),
    ]),
  ];
}

function splitChart({ split: { curve, angleDeg, fastestDeg, cutterId } }: Plan): string {
  const { across, chosen, fastest, none, description } = text.split;
  const title = text.split.title(cutterId);
  const near = (deg: number) =>
    curve.reduce((a, b) => (Math.abs(b.angleDeg - deg) < Math.abs(a.angleDeg - deg) ? b : a));
  const mark = (deg: number, name: (deg: string) => string) => ({
    x: near(deg).angleDeg,
    y: near(deg).minutes,
    label: name(shown(deg, 1)),
  });
  const marks = [mark(angleDeg, chosen)];
  if (fastestDeg !== null && Math.abs(fastestDeg - angleDeg) > 0.5) marks.push(mark(fastestDeg, fastest));
  const told =
    fastestDeg === null ? none : description(shown(fastestDeg, 1), minutesText(near(fastestDeg).minutes));
  const chart = lineChart(
    { id: 'c-split', title, across, up: 'min', description: told },
    curve.map((point) => ({ x: point.angleDeg, y: point.minutes })),
    marks,
  );
  const rows = curve.filter((_, i) => i % 5 === 0);
  return figure(title, chart, rows, [
    numbers(heads.split, (point) => `${shown(point.angleDeg, 1)}°`),
    numbers(heads.time, ({ minutes }) => minutesText(minutes)),
  ]);
}
