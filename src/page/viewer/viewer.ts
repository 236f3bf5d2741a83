import { VIEW_NAMES } from '../../write/report-controls.js';
import { messageOf } from '../../core/errors.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { bindColouring } from './colouring.js';
import { make, need, onClick, press } from './elements.js';
import { bindGestures, cameraActions } from './gestures.js';
import { bindOverlay } from './overlay.js';
import { bindPlaces } from './places.js';
import { bindPointing } from './pointing.js';
import { pictureTree } from './picture-tree.js';
import { makeProbe } from './probe.js';
import { bindSection } from './section.js';
import { createStage, drawingContext, type Stage } from './stage.js';
import type { ViewData } from '../../write/view-data.js';
import { unpackView } from './unpack-view.js';

const words = TEXT.view;
const KEY_TURN_DEG = 15,
  KEY_MOVE = 0.1,
  KEY_ZOOM = 1.25;

/**
 * Brings the view in a report to life. Where WebGL 2 is missing, or the part does not fit into memory or came
 * damaged, that is said and the rest of the report stays as it is.
 *
 * @returns null if there is no view
 */
export async function startViewer(root: ParentNode): Promise<Stage | null> {
  const note = need(root, 'v-note', HTMLElement),
    canvas = need(root, 'v-canvas', HTMLCanvasElement);
  const facts: SceneFacts = JSON.parse(need(root, 'scene-facts', HTMLScriptElement).text);
  const context = drawingContext(canvas);
  const giveUp = (why: string): null => {
    note.textContent = why;
    root.querySelectorAll<HTMLElement>('.panel,#v-views').forEach((one) => {
      one.hidden = true;
    });
    return null;
  };
  if (context === null) return giveUp(words.noView);
  note.textContent = words.loading;
  const packed = need(root, 'packed-view', HTMLScriptElement).text;
  const view = await unpackView(packed, facts.mesh).catch((error: unknown) =>
    giveUp(words.noUnpack(messageOf(error))),
  );
  if (view === null) return null;
  const stage = createStage(canvas, context, view, facts);
  watchContext(canvas, note, stage);
  const show = wire(root, view, facts, stage);
  note.hidden = true;
  show();
  return stage;
}

/**
 * Binds every control of the view to its picture.
 *
 * @returns what draws it first
 */
function wire(root: ParentNode, view: ViewData, facts: SceneFacts, stage: Stage): () => void {
  const say = (text: string): void => {
    need(root, 'v-status', HTMLElement).textContent = text;
  };
  const tree = pictureTree(view, facts.toleranceMm);
  const probe = makeProbe(view, tree, facts);
  const cutterList = need(root, 'v-cutter', HTMLSelectElement);
  const cutter = () => facts.cutters[Math.max(0, cutterList.selectedIndex)] ?? facts.cutters[0];
  const section = bindSection(root, facts, (normal, offset) => {
    stage.setSection(normal, offset);
    stage.redraw();
  });
  const shared = { facts, stage, probe, cutter, say };
  const colouring = bindColouring(root, { ...shared, view, onSplit: () => pointing.describe() });
  const pointing = bindPointing(root, {
    ...shared,
    classAt: colouring.classAt,
    keeps: (point, facet) => section.keeps(point) && !colouring.hides(facet),
  });
  cutterList.addEventListener('change', colouring.cutterChanged);
  cutterList.addEventListener('change', pointing.describe);
  const camera = bindCamera(root, facts, stage, say);
  bindPlaces(root, facts, stage, pointing, probe, say);
  bindGestures(need(root, 'v-canvas', HTMLCanvasElement), stage, {
    ...camera,
    pick: pointing.pick,
    measure: pointing.toggleMeasure,
    toggleSection: section.toggle,
    cancel: pointing.clear,
  });
  bindShown(root, stage);
  onClick(root, 'v-save', () => savePicture(stage, cutterList.ownerDocument, colouring.mode()));
  return () => {
    stage.drawNow();
    camera.fit();
    colouring.apply();
    stage.drawNow();
    say(words.ready);
  };
}

/** Hands the picture over as a file, on white ground. */
function savePicture(stage: Stage, page: Document, mode: string): void {
  stage.drawNow();
  const { canvas } = stage;
  const picture = Object.assign(page.createElement('canvas'), { width: canvas.width, height: canvas.height });
  const context = picture.getContext('2d');
  if (context === null) return;
  context.fillStyle = '#ffffff';
  context.fillRect(0, 0, picture.width, picture.height);
  context.drawImage(canvas, 0, 0);
  picture.toBlob((blob) => {
    if (blob === null) return;
    const href = URL.createObjectURL(blob);
    make('a', { href, download: words.pictureName(mode) }).click();
    setTimeout(() => URL.revokeObjectURL(href), REVOKED_MS);
  });
}

/** Browsers read a file that is saved some time after the click. */
const REVOKED_MS = 10_000;

function watchContext(canvas: HTMLCanvasElement, note: HTMLElement, stage: Stage): void {
  canvas.addEventListener('webglcontextlost', (event) => {
    event.preventDefault();
    note.hidden = false;
    note.textContent = words.lost;
  });
  canvas.addEventListener('webglcontextrestored', () => {
    note.hidden = true;
    stage.redraw();
  });
}

/** Buttons that change from where the part is seen. */
function bindCamera(
  root: ParentNode,
  facts: SceneFacts,
  stage: Stage,
  say: (text: string) => void,
): ReturnType<typeof cameraActions> {
  const { rig } = stage,
    camera = cameraActions(stage, facts);
  const look = (index: number): void => {
    camera.look(index);
    say(words.viewFrom(words.views7[index]));
  };
  const button = need(root, 'v-perspective', HTMLElement);
  const togglePerspective = (): void => {
    camera.togglePerspective();
    press(button, rig.perspective());
    say(words.projection(rig.perspective()));
  };
  const steps: Readonly<Record<string, () => void>> = {
    fit: camera.fit,
    perspective: togglePerspective,
    'zoom-in': () => rig.zoom(1 / KEY_ZOOM),
    'zoom-out': () => rig.zoom(KEY_ZOOM),
    'turn-left': () => rig.turn(KEY_TURN_DEG, 0),
    'turn-right': () => rig.turn(-KEY_TURN_DEG, 0),
    'turn-up': () => rig.turn(0, KEY_TURN_DEG),
    'turn-down': () => rig.turn(0, -KEY_TURN_DEG),
    'move-left': () => rig.move(KEY_MOVE, 0),
    'move-right': () => rig.move(-KEY_MOVE, 0),
    'move-up': () => rig.move(0, -KEY_MOVE),
    'move-down': () => rig.move(0, KEY_MOVE),
    ...Object.fromEntries(VIEW_NAMES.map((name, i) => [`from-${name}`, () => look(i)])),
  };
  for (const [id, act] of Object.entries(steps)) {
    onClick(root, `v-${id}`, () => {
      act();
      stage.redraw();
    });
  }
  return { ...camera, look, togglePerspective };
}

/** Buttons that show and hide lines. */
function bindShown(root: ParentNode, stage: Stage): void {
  const overlay = bindOverlay(root, stage);
  for (const what of ['edges', 'borders', 'axes'] as const) {
    const button = need(root, `v-${what}`, HTMLElement);
    button.addEventListener('click', () => {
      const on = button.getAttribute('aria-pressed') !== 'true';
      press(button, on);
      if (what === 'axes') overlay.show(on);
      else stage.show(what, on);
      stage.redraw();
    });
  }
}
