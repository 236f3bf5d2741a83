import { CLASSES, MACHINABLE_CLASSES } from '../../core/classes.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { cutterModel } from './cutter-model.js';
import { make, need, onClick, press } from './elements.js';
import type { Point, Probe, Reading } from './probe.js';
import { distanceText, fillReadout } from './readout.js';
import type { Stage } from './stage.js';

const words = TEXT.view;

/** What the controls of the view work on. */
export interface ViewParts {
  readonly facts: SceneFacts;
  readonly stage: Stage;
  readonly probe: Probe;
  readonly cutter: () => SceneFacts['cutters'][number];
  readonly say: (text: string) => void;
}

export interface PointingInput extends ViewParts {
  readonly classAt: (reading: Reading) => string;
  /** whether a point is on the side of the section that is shown, and its facet not hidden */
  readonly keeps: (point: readonly number[], facet: number) => boolean;
}

export type Pointing = ReturnType<typeof bindPointing>;

/** Pointing at the surface: what stands there, the cutter there, distances. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share what was read and measured.
export function bindPointing(root: ParentNode, input: PointingInput) {
  const { facts, stage, probe, cutter, classAt, say } = input;
  const readout = need(root, 'v-readout', HTMLElement),
    measureButton = need(root, 'v-measure', HTMLElement);
  const showCutter = need(root, 'v-show-cutter', HTMLInputElement);
  let read: Reading | null = null,
    measured: Point[] = [],
    measuring = false;

  /** Shows again what was read, for another cutter or split. */
  function describe(): void {
    if (read === null) return;
    const isCut = read.region >= 0 && CLASSES.indexOf(facts.classOfRegion[read.region]) < MACHINABLE_CLASSES;
    const ball = cutter();
    const pose = isCut && ball ? probe.pose(read, ball.RE) : null;
    fillReadout(readout, {
      reading: read,
      className: classAt(read),
      reachRadiusMm: isCut ? probe.reachRadiusMm(read) : null,
      cutter: ball,
      pose,
      facts,
      showRegion: rowOf(root, read.region) && showRow,
    });
    const shows = showCutter.checked && pose?.centre;
    stage.setCutter(shows ? cutterModel(ball.RE, ball.LU) : null, shows ? pose.centre : null);
    stage.setMarks(showCutter.checked && pose?.contact ? [pose.contact, null] : [read.point, null]);
    stage.redraw();
  }

  function showRow(region: number): void {
    const row = rowOf(root, region);
    row?.closest('details')?.setAttribute('open', '');
    row?.scrollIntoView({ block: 'center' });
    row?.querySelector('button')?.focus({ preventScroll: true });
  }

  /** Marks a region in view and list; below 0: none. */
  function choose(region: number): void {
    stage.material.uniforms.chosen.value = region < 0 ? -2 : region;
    root.querySelectorAll('tr[aria-current]').forEach((row) => row.removeAttribute('aria-current'));
    rowOf(root, region)?.setAttribute('aria-current', 'true');
    stage.redraw();
  }

  function measure(point: Point): void {
    measured = measured.length === 2 ? [point] : [...measured, point];
    stage.setMarks([measured[0], measured[1] ?? null]);
    const text = measured.length === 2 ? distanceText(measured[0], measured[1]) : words.measureSecond;
    readout.replaceChildren(make('p', { textContent: text }));
    say(text);
    stage.redraw();
  }

  function setMeasuring(on: boolean): void {
    measuring = on;
    measured = [];
    read = null;
    press(measureButton, on);
    stage.setMarks([null, null]);
    stage.setCutter(null, null);
    readout.replaceChildren(make('p', { textContent: on ? words.measureFirst : words.pointHint }));
    say(on ? words.measureFirst : '');
    stage.redraw();
  }

  /** Reads or measures at a place of the canvas, -1 to 1. */
  function pick(x: number, y: number): void {
    const { from, along } = stage.rayAt(x, y);
    const found = probe.readAlong(from, along, input.keeps);
    if (found === null) tellNone();
    else if (measuring) measure(found.point);
    else tell(found);
  }

  /** Said where the button is too: on a narrow screen the line under the view is out of sight. */
  function tellNone(): void {
    read = null;
    stage.setMarks([measured[0] ?? null, measured[1] ?? null]);
    stage.setCutter(null, null);
    readout.replaceChildren(make('p', { textContent: words.noSurface }));
    say(words.noSurface);
    stage.redraw();
  }

  function tell(found: Reading): void {
    read = found;
    choose(found.region);
    describe();
    say(
      [...readout.querySelectorAll('dt')]
        .map((term) => `${term.textContent} ${term.nextElementSibling?.textContent}`)
        .join(', '),
    );
  }

  showCutter.addEventListener('change', describe);
  onClick(root, 'v-read', () => pick(0, 0));
  const toggleMeasure = (): void => setMeasuring(!measuring);
  measureButton.addEventListener('click', toggleMeasure);
  const clear = (): void => {
    stage.setPlace(null);
    setMeasuring(false);
    choose(-2);
  };
  onClick(root, 'v-clear', clear);
  return { pick, toggleMeasure, describe, clear, choose };
}

const rowOf = (root: ParentNode, region: number): Element | null =>
  root.querySelector(`#region-row-${region}`);
