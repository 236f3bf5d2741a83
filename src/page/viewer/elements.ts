import { TEXT } from '../../write/report-text.js';

/**
 * Finds the element that the report's markup promises. @throws {Error} if it is not there or of another kind
 */
export function need<T extends Element>(root: ParentNode, id: string, kind: new () => T): T {
  const found = root.querySelector(`#${id}`);
  if (!(found instanceof kind)) throw new Error(`need: no ${kind.name} #${id}`);
  return found;
}

/** Does something when an element of the markup is clicked. */
export const onClick = (root: ParentNode, id: string, act: () => void): void =>
  need(root, id, HTMLElement).addEventListener('click', act);

/** A new element with properties of its own and what it holds. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  properties: Partial<HTMLElementTagNameMap[K]> = {},
  ...content: readonly Node[]
): HTMLElementTagNameMap[K] {
  const made = Object.assign(document.createElement(tag), properties);
  made.append(...content);
  return made;
}

export const press = (button: HTMLElement, on: boolean): void =>
  button.setAttribute('aria-pressed', String(on));

/** A number as people type it: point or comma for decimals. NaN if it is none. */
export function typedNumber(text: string): number {
  const plain = text.trim().replace(',', '.');
  return /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(plain) ? Number(plain) : NaN;
}

/** Keeps a slider and its text field together. */
export function bindSlider(
  root: ParentNode,
  id: string,
  onChange: (value: number) => void,
): (value: number) => void {
  const range = need(root, id, HTMLInputElement),
    field = need(root, `${id}-number`, HTMLInputElement),
    bad = need(root, `${id}-bad`, HTMLElement);
  const set = (value: number): void => {
    range.value = String(value);
    field.value = String(Math.round(value * 1000) / 1000);
    field.removeAttribute('aria-invalid');
    bad.hidden = true;
  };
  range.addEventListener('input', () => {
    set(Number(range.value));
    onChange(Number(range.value));
  });
  field.addEventListener('change', () => {
    const value = typedNumber(field.value);
    if (Number.isNaN(value)) {
      field.setAttribute('aria-invalid', 'true');
      bad.textContent = TEXT.view.badNumber(field.value, range.min, range.max);
      bad.hidden = false;
      return;
    }
    const held = Math.min(Number(range.max), Math.max(Number(range.min), value));
    set(held);
    onChange(held);
  });
  return set;
}
