import { boundsOf } from '../../core/bounds.js';
import { TEXT } from '../../write/report-text.js';
import type { ViewData } from '../../write/view-data.js';
import { angleBands } from '../viewer/bands.js';
import { make } from '../viewer/elements.js';
import { bindGestures, cameraActions } from '../viewer/gestures.js';
import { bandItems } from '../viewer/legend.js';
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
  const canvas = make('canvas', { tabIndex: 0, role: 'application', ariaLabel: TEXT.page.earlyCanvas });
  const figure = make(
    'figure',
    {},
    make('figcaption', { textContent: caption }),
    make('div', { className: 'stage' }, canvas),
    make('ul', { className: 'keys early-keys' }, ...bandItems(bands)),
  );
  const context = drawingContext(canvas);
  if (context === null) return null;
  box.replaceChildren(figure);
  box.hidden = false;

  const facts = { boundsMm: boundsOf(picture.positions), classOfRegion: ['shallow' as const], regions: [] };
  const stage = createStage(canvas, context, bareView(picture), facts);
  setBands(stage.material, 'angle', bands);
  const camera = cameraActions(stage, facts);
  const nothing = (): void => {};
  bindGestures(canvas, stage, {
    ...camera,
    pick: nothing,
    measure: nothing,
    toggleSection: nothing,
    cancel: nothing,
  });
  stage.rig.resize(canvas.clientWidth, canvas.clientHeight);
  camera.fit();
  stage.drawNow();
  return stage;
}

/** A picture of which nothing is known but its surface. */
function bareView(picture: EarlyPicture): ViewData {
  const vertices = picture.positions.length / 3,
    none = new Uint32Array(0);
  return {
    ...picture,
    counts: new Float32Array(vertices).fill(NOT_ASKED),
    regions: new Int32Array(vertices),
    ridges: new Uint8Array(vertices),
    finishers: new Uint8Array(vertices),
    gaps: [],
    creases: none,
    borders: none,
  };
}
