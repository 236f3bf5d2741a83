import { VIEW_NAMES } from '../../write/report-controls.js';
import { TEXT } from '../../write/report-text.js';
import { angleBands, type Bands } from '../viewer/bands.js';
import { bindGestures } from '../viewer/gestures.js';
import { bandItems } from '../viewer/legend.js';
import { centredBounds } from '../viewer/places.js';
import { createStage, drawingContext, type Stage } from '../viewer/stage.js';
import { setBands } from '../viewer/surface-material.js';
import type { EarlyPicture } from './messages.js';

const NOT_ASKED = 255;

/**
 * Shows a part by wall angle in the given box, to be turned while the rest is computed.
 *
 * @returns null where WebGL 2 is missing
 */
export function showEarly(box: HTMLElement, picture: EarlyPicture, caption: string): Stage | null {
  const bands = angleBands();
  const { figure, canvas } = figureOf(bands, caption);
  const context = drawingContext(canvas);
  if (context === null) return null;
  box.replaceChildren(figure);
  box.hidden = false;

  const vertices = picture.positions.length / 3,
    none = new Uint32Array(0);
  const facts = { boundsMm: bounds(picture.positions), classOfRegion: ['shallow' as const], regions: [] };
  const stage = createStage(
    canvas,
    context,
    {
      ...picture,
      counts: new Uint8Array(vertices).fill(NOT_ASKED),
      regions: new Int32Array(vertices),
      sagittas: new Float32Array(picture.triangles.length / 3),
      creases: none,
      borders: none,
    },
    facts,
  );
  setBands(stage.material, 'angle', bands);
  const fit = (): void => stage.rig.fit(...centredBounds(facts, facts.boundsMm));
  bindTurning(canvas, stage, fit);
  const resized = new ResizeObserver(() => stage.redraw());
  resized.observe(canvas);
  stage.ended.addEventListener('abort', () => resized.disconnect());
  stage.rig.resize(canvas.clientWidth, canvas.clientHeight);
  fit();
  stage.drawNow();
  return stage;
}

function figureOf(
  bands: Bands,
  caption: string,
): { readonly figure: HTMLElement; readonly canvas: HTMLCanvasElement } {
  const figure = document.createElement('figure'),
    text = document.createElement('figcaption');
  const frame = document.createElement('div'),
    canvas = document.createElement('canvas'),
    keys = document.createElement('ul');
  frame.className = 'stage';
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'application');
  canvas.ariaLabel = TEXT.page.earlyCanvas;
  text.textContent = caption;
  keys.className = 'keys early-keys';
  keys.append(...bandItems(bands));
  frame.append(canvas);
  figure.append(text, frame, keys);
  return { figure, canvas };
}

/** Gestures that turn, move and zoom; there is nothing yet to read or cut. */
function bindTurning(canvas: HTMLCanvasElement, stage: Stage, fit: () => void): void {
  const nothing = (): void => {};
  bindGestures(canvas, stage, {
    fit,
    pick: nothing,
    measure: nothing,
    toggleSection: nothing,
    cancel: nothing,
    togglePerspective: () => {
      stage.rig.perspective(!stage.rig.perspective());
    },
    look: (index) => {
      stage.rig.look(VIEW_NAMES[index]);
      fit();
    },
  });
}

function bounds(positions: Float64Array): {
  readonly min: [number, number, number];
  readonly max: [number, number, number];
} {
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const k = i % 3;
    if (positions[i] < min[k]) min[k] = positions[i];
    if (positions[i] > max[k]) max[k] = positions[i];
  }
  return { min, max };
}
