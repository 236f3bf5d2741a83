import { niceLengthMm } from '../../write/svg-text.js';
import { TEXT } from '../../write/report-text.js';
import { shown } from '../../write/report-numbers.js';
import { make, need } from './elements.js';
import type { Stage } from './stage.js';

/** Legend of classes with the lines that they have on paper, or with those of the view. */
function swapKeys(root: ParentNode, from: string, to: string): void {
  for (const rect of root.querySelectorAll('#v-legend li[data-cls] rect')) {
    rect.setAttribute('fill', rect.getAttribute('fill')?.replace(`#${from}-`, `#${to}-`) ?? '');
  }
}

/** Of the view's width, at most. */
const SCALE_SHARE = 0.35;

/** Names of the axes and the scale bar over the view, redrawn with it; and the picture for paper. */
export function bindOverlay(root: ParentNode, stage: Stage): { show(on: boolean): void } {
  const box = need(root, 'v-stage', HTMLElement),
    scale = need(root, 'v-scale', HTMLElement);
  const canvas = need(root, 'v-canvas', HTMLCanvasElement);
  let shows = true;
  const names = ['X', 'Y', 'Z'].map((letter) => {
    const name = make('span', { textContent: letter, className: 'axis-name', ariaHidden: 'true' });
    box.append(name);
    return name;
  });
  const place = (): void => {
    stage.axesMm.forEach((end, i) => {
      const at = stage.placeOf(end);
      const inside =
        at !== null &&
        at[0] > 8 &&
        at[1] > 10 &&
        at[0] < canvas.clientWidth - 8 &&
        at[1] < canvas.clientHeight - 10;
      names[i].hidden = !shows || !inside;
      if (at === null) return;
      names[i].style.left = `${at[0]}px`;
      names[i].style.top = `${at[1]}px`;
    });
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
