import { PartError } from '../../core/errors.js';
import { lengthMm, shareOfOne } from '../../core/units.js';
import { resolveSetup, type Setup } from '../../resolve-setup.js';
import {
  AXIS_WORDS,
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
import { typedNumber } from '../viewer/elements.js';

const words = TEXT.page;

const ROWS: readonly (readonly [key: OptionKey, row: ReturnType<typeof optionRow>])[] = [
  ...PLACEMENT_KEYS,
  ...OTHER_KEYS,
].map((key) => [key, optionRow(key)]);
const CHOICES = ROWS.filter(([, { kind }]) => kind === 'choice');
const SWITCHES = ROWS.filter(([, { kind }]) => kind === 'switch');
/** The browser knows the day of a file, and a set-up file brings the others. */
const TYPED = ROWS.filter(([, { kind }]) => !['choice', 'switch', 'day', 'file'].includes(kind));

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
        `<input type="text" id="s-${key}" name="${key}" placeholder="${preset(row)}" autocomplete="off"></div>`,
    ),
    ...SWITCHES.map(([key, row]) => {
      const checked = row.default === true ? ' checked' : '';
      return `<div class="check"><label><input type="checkbox" id="s-${key}" name="${key}"${checked}>${labelOf(row)}</label></div>`;
    }),
    `<div><label for="s-file">${words.setupFile}</label><input type="file" id="s-file" accept=".json,application/json"></div>`,
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
export async function setupFromForm(form: HTMLFormElement): Promise<Setup> {
  const given: Record<string, unknown> = {};
  const text = (key: string): string => {
    const field = form.elements.namedItem(key);
    return field instanceof HTMLInputElement || field instanceof HTMLSelectElement ? field.value.trim() : '';
  };
  for (const [key, row] of TYPED)
    if (text(key) !== '') given[key] = parsed(row.kind, text(key), labelOf(row));
  for (const [key] of CHOICES) if (text(key) !== '') given[key] = text(key);
  for (const [key, row] of SWITCHES) {
    const field = form.elements.namedItem(key);
    const isOn = field instanceof HTMLInputElement && field.checked;
    if (isOn !== row.default) given[key] = isOn;
  }
  const chosen = form.querySelector<HTMLInputElement>('#s-file')?.files?.[0];
  return resolveSetup(chosen ? parseJson(await chosen.text(), chosen.name) : undefined, given, chosen?.name);
}

function parseJson(text: string, name: string): unknown {
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
