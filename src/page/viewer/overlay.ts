import { niceLengthMm } from '../../write/svg-text.js';
import { TEXT } from '../../write/report-text.js';
import { shown } from '../../write/report-numbers.js';
import { need } from './elements.js';
import type { Stage } from './stage.js';

/** Legend of classes with the lines that they have on paper, or with those of the view. */
function swapKeys(root: ParentNode, from: string, to: string): void {
  for (const rect of root.querySelectorAll('#v-legend li[data-cls] rect')) {
    rect.setAttribute('fill', rect.getAttribute('fill')?.replace(`#${from}-`, `#${to}-`) ?? '');
  }
}

/** Of the view's width, at most. */
const SCALE_SHARE = 0.35;

/** Arms of the axes and how far out their names stand, pixels. */
const ARM = 24,
  NAME_AT = 33;
/** An axis shorter than this share of its length runs into the eye: its name would lie on the others. */
const LEAST_SEEN = 0.25;

/** The axes as they are seen, and the scale bar over the view, redrawn with it; and the picture for paper. */
export function bindOverlay(root: ParentNode, stage: Stage): { show(on: boolean): void } {
  const axes = need(root, 'v-compass', SVGSVGElement),
    scale = need(root, 'v-scale', HTMLElement);
  const canvas = need(root, 'v-canvas', HTMLCanvasElement);
  let shows = true;
  const place = (): void => {
    axes.toggleAttribute('hidden', !shows);
    stage.axesSeen().forEach((seen, i) => placeArm(axes.children[i], seen));
    const perPixel = stage.rig.mmPerPixel();
    const length = niceLengthMm(SCALE_SHARE * canvas.clientWidth * perPixel);
    scale.hidden = !shows;
    scale.style.width = `${length / perPixel}px`;
    scale.textContent = TEXT.view.scale(shown(length, 4));
  };
  stage.onDrawn = place;
  const { ended: signal } = stage;
  bindPaper(root, stage, canvas);
  matchMedia('(prefers-color-scheme:dark)').addEventListener('change', () => stage.redraw(), { signal });
  return {
    show: (on) => {
      shows = on;
      place();
    },
  };
}

/** @param seen to the right, down */
function placeArm(arm: Element, [x, y]: readonly number[]): void {
  const [line, name] = arm.children;
  line.setAttribute('x2', String(ARM * x));
  line.setAttribute('y2', String(ARM * y));
  name.setAttribute('x', String(NAME_AT * x));
  name.setAttribute('y', String(NAME_AT * y));
  name.toggleAttribute('hidden', Math.sqrt(x * x + y * y) < LEAST_SEEN);
}

/** Puts a picture of the view where paper shows it. */
function bindPaper(root: ParentNode, stage: Stage, canvas: HTMLCanvasElement): void {
  const paper = need(root, 'v-print', HTMLImageElement),
    { ended: signal } = stage;
  // A canvas prints blank in some browsers; a picture of it does not.
  addEventListener(
    'beforeprint',
    () => {
      swapKeys(root, 'view', 'key');
      stage.material.uniforms.paper.value = true;
      stage.drawNow();
      stage.material.uniforms.paper.value = false;
      paper.src = canvas.toDataURL('image/png');
      paper.alt = canvas.getAttribute('aria-label')?.split('.')[0] ?? '';
      paper.hidden = false;
    },
    { signal },
  );
  addEventListener(
    'afterprint',
    () => {
      paper.hidden = true;
      swapKeys(root, 'key', 'view');
      stage.drawNow();
    },
    { signal },
  );
}
