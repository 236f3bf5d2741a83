import { PartError } from '../../core/errors.js';
import { lengthMm, shareOfOne } from '../../core/units.js';
import { resolveSetup, type Setup } from '../../resolve-setup.js';
import {
  AXIS_WORDS,
  idsTyped,
  optionRow,
  OTHER_KEYS,
  PLACEMENT_KEYS,
  type AxisWord,
  type OptionKey,
  type OptionKind,
  type OptionRow,
} from '../../options.js';
import { TEXT } from '../../write/report-text.js';
import { xmlText } from '../../write/svg-text.js';
import { need, typedNumber } from '../viewer/elements.js';
import type { KeptFile, KeptSetup } from './kept-setup.js';

const words = TEXT.page;

const ROWS: readonly (readonly [key: OptionKey, row: ReturnType<typeof optionRow>])[] = [
  ...PLACEMENT_KEYS,
  ...OTHER_KEYS,
].map((key) => [key, optionRow(key)]);
const CHOICES = ROWS.filter(([, { kind }]) => kind === 'choice');
const SWITCHES = ROWS.filter(([, { kind }]) => kind === 'switch');
/** The browser knows the day of a file, and a set-up file brings the others. */
const TYPED = ROWS.filter(([, { kind }]) => !['choice', 'switch', 'day', 'file'].includes(kind));

/** Files, by the key of the set-up that they hold; `file` holds any of them. */
const FILES = [
  ['cutters', words.cuttersFile],
  ['machine', words.machineFile],
  ['cuttingData', words.cuttingDataFile],
  ['file', words.setupFile],
] as const;

/** The form's fields; an empty one means the default, which it shows greyed. */
export function setupFormHtml(): string {
  return [
    ...CHOICES.map(([key, row]) => {
      const others = (row.choices ?? []).filter((one) => one !== row.default);
      return (
        `<div><label for="s-${key}">${labelOf(row)}</label><select id="s-${key}" name="${key}">` +
        `<option value="">${preset(row)}</option>${others.map((one) => `<option>${one}</option>`).join('')}</select></div>`
      );
    }),
    ...TYPED.map(
      ([key, row]) =>
        `<div><label for="s-${key}">${labelOf(row)}</label>` +
        `<input type="text" id="s-${key}" name="${key}" placeholder="${preset(row)}" autocomplete="off" ` +
        `aria-describedby="s-${key}-bad"><p class="bad" id="s-${key}-bad" hidden></p></div>`,
    ),
    ...SWITCHES.map(([key, row]) => {
      const checked = row.default === true ? ' checked' : '';
      return `<div class="check"><label><input type="checkbox" id="s-${key}" name="${key}"${checked}>${labelOf(row)}</label></div>`;
    }),
    ...FILES.map(
      ([id, label]) =>
        `<div><label for="s-${id}">${label}</label><input type="file" id="s-${id}" accept=".json,application/json">` +
        `<p class="hint" id="s-${id}-kept"></p></div>`,
    ),
  ].join('\n');
}

const preset = ({ default: value }: { readonly default?: unknown }): string =>
  String(value ?? words.automatic);

/** A label with its unit; lengths bring their own. */
function labelOf({ kind, label = '', unit }: OptionRow): string {
  if (unit === undefined) return xmlText(label);
  return xmlText(kind === 'choice' ? `${label} (${unit})` : `${label}, ${unit}`);
}

/**
 * The set-up that the form means.
 *
 * @throws {PartError} naming the field
 */
export async function setupFromForm(form: HTMLFormElement, kept: KeptSetup): Promise<Setup> {
  const given: Record<string, unknown> = {};
  const text = (key: string): string => {
    const field = form.elements.namedItem(key);
    return field instanceof HTMLInputElement || field instanceof HTMLSelectElement ? field.value.trim() : '';
  };
  for (const [key, row] of TYPED)
    marked(form, key, () => {
      if (text(key) !== '') given[key] = parsed(row.kind, text(key), labelOf(row));
    });
  for (const [key] of CHOICES) if (text(key) !== '') given[key] = text(key);
  for (const [key, row] of SWITCHES) {
    const field = form.elements.namedItem(key);
    const isOn = field instanceof HTMLInputElement && field.checked;
    if (isOn !== row.default) given[key] = isOn;
  }
  for (const [id] of FILES) {
    const file = id === 'file' ? null : await kept.file(`s-${id}`);
    if (file) given[id] = parseJson(file);
  }
  const whole = await kept.file('s-file');
  return resolveSetup(whole ? parseJson(whole) : undefined, given, whole?.name);
}

/** Reads a field; where it cannot be read it is marked, and says why. */
function marked(form: HTMLFormElement, key: string, read: () => void): void {
  const field = need(form, `s-${key}`, HTMLInputElement),
    bad = need(form, `s-${key}-bad`, HTMLElement);
  field.removeAttribute('aria-invalid');
  bad.hidden = true;
  try {
    read();
  } catch (error) {
    field.setAttribute('aria-invalid', 'true');
    field.closest('details')?.setAttribute('open', '');
    bad.textContent = error instanceof PartError ? error.info.what : '';
    bad.hidden = false;
    field.focus();
    throw error;
  }
}

function parseJson({ text, name }: KeptFile): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new PartError({
      code: 'setup.json',
      where: name,
      what: error instanceof Error ? error.message : 'no JSON',
      remedy: 'correct it there',
    });
  }
}

function parsed(kind: OptionKind, text: string, label: string): unknown {
  const isLength = kind.startsWith('length');
  const read = (one: string): number =>
    isLength
      ? held(lengthMm(one), one, label, words.aLength)
      : held(typedNumber(one), one, label, words.aNumber);
  if (kind === 'share') return held(shareOfOne(text.replace(',', '.')), text, label, words.aShare);
  if (kind.endsWith('auto') && text === 'auto') return 'auto';
  if (kind === 'axis') return parsedAxis(text, label);
  if (kind === 'words') return idsTyped(text);
  return kind === 'lengths' ? listed(text).map(read) : read(text);
}

const listed = (text: string): string[] => text.split(/[;\s]+/).filter((one) => one !== '');

function held(value: number, text: string, label: string, expected: string): number {
  return Number.isNaN(value) ? refuse(text, label, expected) : value;
}

function refuse(text: string, label: string, expected: string): never {
  throw new PartError({
    code: 'option.invalid',
    where: label,
    what: `"${text}" found, ${expected} expected`,
    remedy: 'correct the field',
  });
}

function parsedAxis(text: string, label: string): AxisWord | 'auto' | readonly number[] {
  const word = [...AXIS_WORDS, 'auto' as const].find((one) => one === text.toLowerCase());
  if (word) return word;
  const numbers = listed(text).map((one) => held(typedNumber(one), one, label, words.aNumber));
  return numbers.length === 3 ? numbers : refuse(text, label, '+z, -z, +x, -x, +y, -y, auto or 0; 0; 1');
}
