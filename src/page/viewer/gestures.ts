import { VIEW_NAMES } from '../../write/report-controls.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { centredBounds } from './places.js';
import type { Stage } from './stage.js';

const TURN_DEG_PER_PIXEL = 0.4;
const KEY_TURN_DEG = 10;
const KEY_MOVE = 0.06;
const KEY_ZOOM = 1.25;
/** A press that moves less is a click, CSS pixels. */
const CLICK_PIXELS = 5;

export interface GestureActions {
  /** a click at a place of the canvas, -1 to 1 */
  readonly pick: (x: number, y: number) => void;
  readonly fit: () => void;
  /** standard view by its number, 0 to 6 */
  readonly look: (index: number) => void;
  readonly togglePerspective: () => void;
  readonly measure: () => void;
  readonly toggleSection: () => void;
  readonly cancel: () => void;
}

/** What changes from where a part is seen. */
export function cameraActions(
  { rig }: Stage,
  facts: Pick<SceneFacts, 'boundsMm'>,
): Pick<GestureActions, 'fit' | 'look' | 'togglePerspective'> {
  const fit = (): void => rig.fit(...centredBounds(facts, facts.boundsMm));
  return {
    fit,
    look: (index) => {
      rig.look(VIEW_NAMES[index]);
      fit();
    },
    togglePerspective: () => void rig.perspective(!rig.perspective()),
  };
}

/** Mouse, pen, fingers and keys on the canvas; keys only while it has the focus. */
export function bindGestures(canvas: HTMLCanvasElement, stage: Stage, actions: GestureActions): void {
  bindPointers(canvas, stage, actions);
  canvas.addEventListener(
    'wheel',
    (event) => {
      // The page's own scrolling goes on until the view is in use.
      if (document.activeElement !== canvas && !event.ctrlKey) return;
      event.preventDefault();
      stage.rig.zoom(Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.004));
      stage.moved();
    },
    { passive: false },
  );
  canvas.addEventListener('contextmenu', (event) => event.preventDefault());
  canvas.addEventListener('keydown', (event) => {
    if (event.altKey || event.metaKey || !pressKey(event, stage, actions)) return;
    event.preventDefault();
    stage.redraw();
  });
}

function pressKey(event: KeyboardEvent, { rig }: Stage, actions: GestureActions): boolean {
  const { key, shiftKey, ctrlKey } = event;
  const arrows: Readonly<Record<string, readonly [number, number]>> = {
    ArrowLeft: [-1, 0],
    ArrowRight: [1, 0],
    ArrowUp: [0, 1],
    ArrowDown: [0, -1],
  };
  const arrow = arrows[key];
  if (arrow && (shiftKey || ctrlKey)) rig.move(-KEY_MOVE * arrow[0], -KEY_MOVE * arrow[1]);
  else if (arrow) rig.turn(-KEY_TURN_DEG * arrow[0], KEY_TURN_DEG * arrow[1]);
  else if (ctrlKey) return false;
  else if (key === '+' || key === '=' || key === 'PageUp') rig.zoom(1 / KEY_ZOOM);
  else if (key === '-' || key === 'PageDown') rig.zoom(KEY_ZOOM);
  else if (key === 'Home' || key.toLowerCase() === 'f') actions.fit();
  else if (/^[1-7]$/.test(key)) actions.look(Number(key) - 1);
  else if (key.toLowerCase() === 'p') actions.togglePerspective();
  else if (key.toLowerCase() === 'm') actions.measure();
  else if (key.toLowerCase() === 'x') actions.toggleSection();
  else if (key === 'Enter' || key === ' ') actions.pick(0, 0);
  else if (key === 'Escape') actions.cancel();
  else return false;
  return true;
}

function bindPointers(canvas: HTMLCanvasElement, stage: Stage, actions: GestureActions): void {
  const down = new Map<number, { x: number; y: number }>();
  let travelled = 0;
  canvas.addEventListener('pointerdown', (event) => {
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    travelled = down.size > 1 ? Infinity : 0;
  });
  canvas.addEventListener('pointermove', (event) => {
    const last = down.get(event.pointerId);
    if (!last) return;
    const dx = event.clientX - last.x,
      dy = event.clientY - last.y;
    travelled += Math.abs(dx) + Math.abs(dy);
    if (down.size === 2) pinch(down, event, stage, canvas.clientHeight);
    else if (event.buttons & 6 || event.shiftKey || event.ctrlKey)
      stage.rig.move(-dx / canvas.clientHeight, dy / canvas.clientHeight);
    else stage.rig.turn(-dx * TURN_DEG_PER_PIXEL, dy * TURN_DEG_PER_PIXEL);
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    stage.moved();
  });
  const up = (event: PointerEvent): void => {
    const was = down.delete(event.pointerId);
    if (down.size === 0) stage.settle();
    if (!was || event.type === 'pointercancel' || travelled > CLICK_PIXELS || event.button !== 0) return;
    const box = canvas.getBoundingClientRect();
    actions.pick(
      (2 * (event.clientX - box.left)) / box.width - 1,
      1 - (2 * (event.clientY - box.top)) / box.height,
    );
  };
  canvas.addEventListener('pointerup', up);
  canvas.addEventListener('pointercancel', up);
}

/** Two fingers: apart zooms, together along moves. */
function pinch(
  down: ReadonlyMap<number, { x: number; y: number }>,
  event: PointerEvent,
  { rig }: Stage,
  height: number,
): void {
  const own = down.get(event.pointerId),
    other = [...down].find(([id]) => id !== event.pointerId)?.[1];
  if (!own || !other) return;
  const apart = (x: number, y: number): number => Math.sqrt((x - other.x) ** 2 + (y - other.y) ** 2) + 1;
  rig.zoom(apart(own.x, own.y) / apart(event.clientX, event.clientY));
  rig.move(-(event.clientX - own.x) / (2 * height), (event.clientY - own.y) / (2 * height));
}
