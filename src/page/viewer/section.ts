import type { SceneFacts } from '../../write/scene-facts.js';
import { bindSlider, need, press } from './elements.js';
import type { Point } from './probe.js';

/**
 * The section plane's controls. `apply` is told the outward normal of the half shown and its offset; null:
 * none.
 */
export function bindSection(
  root: ParentNode,
  facts: SceneFacts,
  apply: (normal: Point | null, offsetMm: number) => void,
) {
  const on = need(root, 'v-section', HTMLInputElement),
    axisList = need(root, 'v-section-axis', HTMLSelectElement);
  const flipButton = need(root, 'v-section-flip', HTMLElement),
    range = need(root, 'v-section-at', HTMLInputElement);
  let flipped = false,
    atMm = Number(range.value);
  const axis = (): number => Math.max(0, axisList.selectedIndex);
  const normal = (): Point => {
    const unit: [number, number, number] = [0, 0, 0];
    unit[axis()] = (flipped ? -1 : 1) * (axis() === 1 ? -1 : 1);
    return unit;
  };
  const offset = (): number => normal()[axis()] * atMm;
  const change = (): void => apply(on.checked ? normal() : null, offset());
  const set = bindSlider(root, 'v-section-at', (value) => {
    atMm = value;
    on.checked = true;
    change();
  });
  on.addEventListener('change', change);
  axisList.addEventListener('change', () => {
    const low = facts.boundsMm.min[axis()],
      high = facts.boundsMm.max[axis()];
    range.min = String(low);
    range.max = String(high);
    atMm = Math.round(5 * (low + high)) / 10;
    set(atMm);
    change();
  });
  flipButton.addEventListener('click', () => {
    flipped = !flipped;
    press(flipButton, flipped);
    change();
  });
  return {
    toggle: (): void => {
      on.checked = !on.checked;
      change();
    },
    /** Whether a point is on the side that is shown. */
    keeps: (point: readonly number[]): boolean =>
      !on.checked || normal().reduce((sum, n, k) => sum + n * point[k], 0) <= offset(),
  };
}
