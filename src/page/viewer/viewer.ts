import { CLASSES, MACHINABLE_CLASSES, type SurfaceClass } from '../../core/classes.js';
import { buildPartTree } from '../../spatial/part-tree.js';
import { COLOUR_MODES, VIEW_NAMES, type ColourMode } from '../../write/report-controls.js';
import { minutesText } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { liveBorders } from './border-lines.js';
import { cutterModel } from './cutter-model.js';
import { bindSlider, need, press } from './elements.js';
import { paintGaps } from './gap-painter.js';
import { bindGestures } from './gestures.js';
import { bandsOf, fillLegend } from './legend.js';
import { bindOverlay } from './overlay.js';
import { makeProbe, type Point, type Reading } from './probe.js';
import { distanceText, fillReadout } from './readout.js';
import { bindSection } from './section.js';
import { splitAreas, splitMinutes } from './split-areas.js';
import { createStage } from './stage.js';
import { linear, MODE_INDEX, MOST_BANDS } from './surface-material.js';
import { unpackView } from './unpack-view.js';

const words = TEXT.view;
const KEY_TURN_DEG = 15, KEY_MOVE = 0.1, KEY_ZOOM = 1.25;

/**
 * Brings the view in a report to life. Where WebGL 2 is missing the rest of the report stays as it is.
 *
 * @returns false if there is no view
 */
export async function startViewer(root: ParentNode): Promise<boolean> {
  const note = need(root, 'v-note', HTMLElement), canvas = need(root, 'v-canvas', HTMLCanvasElement);
  const facts: SceneFacts = JSON.parse(need(root, 'scene-facts', HTMLScriptElement).text);
  const probeContext = document.createElement('canvas').getContext('webgl2');
  if (probeContext === null) {
    root.querySelectorAll<HTMLElement>('.panel,#v-views').forEach((one) => { one.hidden = true; });
    return false;
  }
  note.textContent = words.loading;
  const view = await unpackView(need(root, 'packed-view', HTMLScriptElement).text, facts.mesh);
  const stage = createStage(canvas, view, facts);
  const tree = buildPartTree({ positions: view.positions, triangles: view.triangles }, view.sagittas);
  const probe = makeProbe(view, tree, facts);
  canvas.addEventListener('webglcontextlost', (event) => {
    event.preventDefault();
    note.hidden = false;
    note.textContent = words.lost;
  });
  canvas.addEventListener('webglcontextrestored', () => {
    note.hidden = true;
    stage.redraw();
  });

  const legend = need(root, 'v-legend', HTMLElement), live = need(root, 'v-live', HTMLElement);
  const readout = need(root, 'v-readout', HTMLElement), status = need(root, 'v-status', HTMLElement);
  const modeList = need(root, 'v-mode', HTMLSelectElement), cutterList = need(root, 'v-cutter', HTMLSelectElement);
  const showCutter = need(root, 'v-show-cutter', HTMLInputElement), measureButton = need(root, 'v-measure', HTMLElement);
  let mode: ColourMode = 'class', splitDeg = facts.split.angleDeg, overlapDeg = facts.split.overlapDeg;
  let read: Reading | null = null, measured: Point[] = [], measuring = false;
  let stopPainting = (): void => {};

  const say = (text: string): void => { status.textContent = text; };
  const cutter = () => facts.cutters[Math.max(0, cutterList.selectedIndex)] ?? facts.cutters[0];
  const isLive = (): boolean => splitDeg !== facts.split.angleDeg || overlapDeg !== facts.split.overlapDeg;
  const endDeg = (): number => Math.min(90, splitDeg + overlapDeg);

  function applyColours(): void {
    const bands = bandsOf(mode, facts), { uniforms } = stage.material;
    uniforms.mode.value = MODE_INDEX[mode];
    uniforms.live.value = isLive();
    uniforms.split.value = [(splitDeg * Math.PI) / 180, (endDeg() * Math.PI) / 180];
    if (bands !== null) {
      uniforms.bandCount.value = bands.colours.length;
      bands.colours.slice(0, MOST_BANDS).forEach((hex, i) => { uniforms.bands.value[i] = linear(hex); });
      uniforms.limits.value = Array.from({ length: MOST_BANDS }, (_, i) => bands.limits[i] ?? 3e38);
    }
    const { stepdownMm, stepoverMm, directionDeg, RE } = facts.passes;
    uniforms.passes.value.set(stepdownMm, stepoverMm, (directionDeg * Math.PI) / 180, RE);
    const areas: Record<SurfaceClass, number> = { ...facts.classAreasMm2, ...(isLive() ? splitAreas(facts, splitDeg, overlapDeg) : {}) };
    fillLegend(legend, bands, facts, areas, splitDeg, endDeg());
    const minutes = splitMinutes(facts, splitDeg, overlapDeg);
    live.textContent = [
      isLive() ? words.live : '', minutes === null || mode !== 'class' ? '' : words.minutes(minutesText(minutes)),
    ].filter((text) => text !== '').join(' ');
    need(root, 'v-cutter-row', HTMLElement).hidden = false;
    stage.redraw();
  }

  function applySplit(): void {
    stage.setBorders(isLive() ? liveBorders(view, facts, splitDeg, endDeg()) : null);
    applyColours();
    describe();
  }

  function applyMode(): void {
    stopPainting();
    stopPainting = mode !== 'gap' ? () => {} : paintGaps(view, facts, probe, cutter().RE, (gaps, share) => {
      stage.setGaps(gaps.slice());
      stage.redraw();
      say(share < 1 ? words.working(String(Math.round(100 * share))) : `${words.byGap}: ${cutter().id}`);
    });
    applyColours();
  }

  function classAt({ region, wallAngleRad }: Reading): string {
    if (region < 0) return words.elsewhere;
    const name = facts.classOfRegion[region];
    if (!isLive() || CLASSES.indexOf(name) >= MACHINABLE_CLASSES) return name;
    const deg = (wallAngleRad * 180) / Math.PI;
    if (deg <= 0.5) return 'level';
    return deg < splitDeg ? 'shallow' : deg <= endDeg() ? 'overlap' : 'steep';
  }

  function describe(): void {
    if (read === null) return;
    const isCut = read.region >= 0 && CLASSES.indexOf(facts.classOfRegion[read.region]) < MACHINABLE_CLASSES;
    const ball = cutter();
    const pose = isCut && ball ? probe.pose(read, ball.RE) : null;
    fillReadout(readout, {
      reading: read, className: classAt(read), reachRadiusMm: isCut ? probe.reachRadiusMm(read) : null, cutter: ball, pose, facts,
    });
    const shows = showCutter.checked && pose?.centre;
    stage.setCutter(shows ? cutterModel(ball.RE, ball.LU) : null, shows ? pose.centre : null);
    stage.setMarks(showCutter.checked && pose?.contact ? [pose.contact, null] : [read.point, null]);
    stage.redraw();
  }

  function choose(region: number): void {
    stage.material.uniforms.chosen.value = region < 0 ? -2 : region;
    root.querySelectorAll('tr[aria-current]').forEach((row) => row.removeAttribute('aria-current'));
    const row = root.querySelector(`#region-row-${region}`);
    row?.setAttribute('aria-current', 'true');
    stage.redraw();
  }

  function pick(x: number, y: number): void {
    const { from, along } = stage.rayAt(x, y);
    const found = probe.readAlong(from, along, section.keeps);
    if (found === null) {
      say(words.noSurface);
      return;
    }
    if (measuring) {
      measured = measured.length === 2 ? [found.point] : [...measured, found.point];
      stage.setMarks([measured[0], measured[1] ?? null]);
      const text = measured.length === 2 ? distanceText(measured[0], measured[1]) : words.measureSecond;
      readout.replaceChildren(paragraph(text));
      say(text);
      stage.redraw();
      return;
    }
    read = found;
    choose(found.region);
    describe();
    say([...readout.querySelectorAll('dt')].map((term) => `${term.textContent} ${term.nextElementSibling?.textContent}`).join(', '));
  }

  function setMeasuring(on: boolean): void {
    measuring = on;
    measured = [];
    press(measureButton, on);
    stage.setMarks([null, null]);
    stage.setCutter(null, null);
    readout.replaceChildren(paragraph(on ? words.measureFirst : words.pointHint));
    say(on ? words.measureFirst : '');
    stage.redraw();
  }

  function clear(): void {
    read = null;
    setMeasuring(false);
    choose(-2);
  }

  const fitAll = (): void => stage.rig.fit(...centredBounds(facts, facts.boundsMm));
  const look = (name: string, label: string): void => {
    stage.rig.look(name);
    fitAll();
    say(words.viewFrom(label));
    stage.redraw();
  };
  const perspectiveButton = need(root, 'v-perspective', HTMLElement);
  const togglePerspective = (): void => {
    const on = stage.rig.perspective(!stage.rig.perspective());
    press(perspectiveButton, on);
    say(words.projection(on));
    stage.redraw();
  };
  const section = bindSection(root, facts, (normal, offset) => {
    stage.setSection(normal, offset);
    stage.redraw();
  });

  modeList.addEventListener('change', () => {
    mode = COLOUR_MODES[modeList.selectedIndex] ?? 'class';
    applyMode();
  });
  cutterList.addEventListener('change', () => {
    if (mode === 'gap') applyMode();
    describe();
  });
  const setSplit = bindSlider(root, 'v-split', (value) => { splitDeg = value; applySplit(); });
  const setOverlap = bindSlider(root, 'v-overlap', (value) => { overlapDeg = value; applySplit(); });
  const onClick = (id: string, act: () => void): void => need(root, `v-${id}`, HTMLElement).addEventListener('click', () => {
    act();
    stage.redraw();
  });
  onClick('reset', () => {
    setSplit(splitDeg = facts.split.angleDeg);
    setOverlap(overlapDeg = facts.split.overlapDeg);
    applySplit();
  });
  onClick('read', () => pick(0, 0));
  onClick('measure', () => setMeasuring(!measuring));
  onClick('clear', clear);
  onClick('fit', fitAll);
  onClick('perspective', togglePerspective);
  VIEW_NAMES.forEach((name, i) => onClick(`from-${name}`, () => look(name, words.views7[i])));
  for (const what of ['edges', 'borders', 'axes'] as const) {
    const button = need(root, `v-${what}`, HTMLElement);
    onClick(what, () => {
      const on = button.getAttribute('aria-pressed') !== 'true';
      press(button, on);
      stage.show(what, on);
      overlay.show(what, on);
    });
  }
  onClick('zoom-in', () => stage.rig.zoom(1 / KEY_ZOOM));
  onClick('zoom-out', () => stage.rig.zoom(KEY_ZOOM));
  onClick('turn-left', () => stage.rig.turn(KEY_TURN_DEG, 0));
  onClick('turn-right', () => stage.rig.turn(-KEY_TURN_DEG, 0));
  onClick('turn-up', () => stage.rig.turn(0, KEY_TURN_DEG));
  onClick('turn-down', () => stage.rig.turn(0, -KEY_TURN_DEG));
  onClick('move-left', () => stage.rig.move(KEY_MOVE, 0));
  onClick('move-right', () => stage.rig.move(-KEY_MOVE, 0));
  onClick('move-up', () => stage.rig.move(0, -KEY_MOVE));
  onClick('move-down', () => stage.rig.move(0, KEY_MOVE));
  showCutter.addEventListener('change', describe);
  bindPlaces();
  bindGestures(canvas, stage, {
    pick, fit: fitAll, togglePerspective, measure: () => setMeasuring(!measuring), toggleSection: section.toggle, cancel: clear,
    look: (index) => look(VIEW_NAMES[index], words.views7[index]),
  });
  const overlay = bindOverlay(root, stage);

  function bindPlaces(): void {
    root.querySelectorAll<HTMLElement>('[data-region],[data-tight]').forEach((button) => button.addEventListener('click', () => {
      const { region, tight } = button.dataset;
      const list = region === undefined ? facts.tight : facts.regions;
      const found = list.find(({ id }) => String(id) === (region ?? tight));
      if (!found) return;
      stage.rig.fit(...centredBounds(facts, found.boundsMm));
      if (region !== undefined) {
        choose(Number(region));
        say(words.regionShown(found.id));
      } else {
        const spot = facts.tight.find(({ id }) => id === found.id);
        stage.setMarks([spot ? [spot.centreMm[0], spot.centreMm[1], spot.centreMm[2]] : null, null]);
        say(words.tightShown(found.id));
      }
      need(root, 'v-stage', HTMLElement).scrollIntoView({ block: 'nearest' });
      canvas.focus({ preventScroll: true });
      stage.redraw();
    }));
  }

  note.hidden = true;
  stage.drawNow();
  fitAll();
  applyMode();
  stage.drawNow();
  say(words.ready);
  return true;
}

function paragraph(text: string): HTMLParagraphElement {
  const made = document.createElement('p');
  made.textContent = text;
  return made;
}

/** Bounds as the stage sees them: about the middle of the part. */
function centredBounds(
  { boundsMm }: SceneFacts, { min, max }: { readonly min: readonly number[]; readonly max: readonly number[] },
): [number[], number[]] {
  const middle = boundsMm.min.map((low, k) => (low + boundsMm.max[k]) / 2);
  return [min.map((x, k) => x - middle[k]), max.map((x, k) => x - middle[k])];
}
