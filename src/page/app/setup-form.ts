import { PartError } from '../../core/errors.js';
import { MATERIALS } from '../../core/materials.js';
import { lengthMm, UNITS } from '../../core/units.js';
import { resolveSetup, type Setup, type SetupFile } from '../../setup.js';
import { AXIS_VECTORS, LADDER_RULES, OPTION_DEFAULTS, type AxisWord } from '../../setup-defaults.js';
import { TEXT } from '../../write/report-text.js';
import { xmlText } from '../../write/svg-text.js';
import { typedNumber } from '../viewer/elements.js';

const words = TEXT.page;
type Key = keyof typeof words.fields;
type Check = 'includeOutside' | 'stand' | 'patches' | 'preview';
type Kind = 'length' | 'number' | 'split' | 'axis' | 'lengths';

const TYPED: readonly (readonly [Key & keyof SetupFile, Kind])[] = [
  ['splitDeg', 'split'],
  ['overlapDeg', 'number'],
  ['toleranceMm', 'length'],
  ['scallopMm', 'length'],
  ['stepoverMm', 'length'],
  ['stepdownMm', 'length'],
  ['stockMm', 'length'],
  ['axis', 'axis'],
  ['radiiMm', 'lengths'],
  ['minRegionMm2', 'number'],
  ['creaseDeg', 'number'],
  ['firstCutterShare', 'number'],
  ['overlapMm', 'length'],
  ['neckStepovers', 'number'],
  ['runOutMm', 'length'],
  ['noiseMm', 'split'],
  ['blendShare', 'number'],
  ['rasterDirectionDeg', 'split'],
  ['holderClearanceMm', 'length'],
];

/** The form's fields; an empty one means the default, which it shows greyed. */
export function setupFormHtml(): string {
  const defaults: Readonly<Record<string, unknown>> = OPTION_DEFAULTS;
  const typed = TYPED.map(([key, kind]) => {
    const preset =
      kind === 'axis' ? '+z' : kind === 'lengths' ? words.automatic : (defaults[key] ?? words.automatic);
    return (
      `<div><label for="s-${key}">${xmlText(words.fields[key])}</label>` +
      `<input type="text" id="s-${key}" name="${key}" placeholder="${String(preset)}" autocomplete="off"></div>`
    );
  });
  const choice = (
    key: 'unit' | 'material' | 'ladderRule',
    options: readonly string[],
    preset: string,
  ): string =>
    `<div><label for="s-${key}">${words.fields[key]}</label><select id="s-${key}" name="${key}">` +
    `<option value="">${preset}</option>${options.map((one) => `<option>${one}</option>`).join('')}</select></div>`;
  const check = (key: Check, on: boolean): string =>
    `<div class="check"><label><input type="checkbox" id="s-${key}" name="${key}"${on ? ' checked' : ''}>${words.fields[key]}</label></div>`;
  return [
    choice('unit', UNITS, words.automatic),
    choice(
      'material',
      MATERIALS.filter((one) => one !== OPTION_DEFAULTS.material),
      OPTION_DEFAULTS.material,
    ),
    choice(
      'ladderRule',
      LADDER_RULES.filter((one) => one !== OPTION_DEFAULTS.ladderRule),
      OPTION_DEFAULTS.ladderRule,
    ),
    ...typed,
    check('includeOutside', false),
    check('patches', false),
    check('preview', false),
    check('stand', true),
    `<div><label for="s-file">${words.fields.setupFile}</label><input type="file" id="s-file" accept=".json,application/json"></div>`,
  ].join('\n');
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
  for (const [key, kind] of TYPED)
    if (text(key) !== '') given[key] = parsed(kind, text(key), words.fields[key]);
  for (const key of ['unit', 'material', 'ladderRule']) if (text(key) !== '') given[key] = text(key);
  const isChecked = (key: string): boolean => {
    const field = form.elements.namedItem(key);
    return field instanceof HTMLInputElement && field.checked;
  };
  for (const key of ['includeOutside', 'patches', 'preview']) if (isChecked(key)) given[key] = true;
  if (!isChecked('stand')) given.stand = false;
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

function parsed(kind: Kind, text: string, label: string): unknown {
  if (kind === 'split' && text === 'auto') return 'auto';
  if (kind === 'axis') return parsedAxis(text, label);
  if (kind === 'lengths')
    return text
      .split(/[;\s]+/)
      .filter((one) => one !== '')
      .map((one) => held(lengthMm(one), one, label, words.aLength));
  return kind === 'length'
    ? held(lengthMm(text), text, label, words.aLength)
    : held(typedNumber(text), text, label, words.aNumber);
}

function held(value: number, text: string, label: string, expected: string): number {
  if (!Number.isNaN(value)) return value;
  throw new PartError({
    code: 'option.invalid',
    where: label,
    what: `"${text}" found, ${expected} expected`,
    remedy: 'correct the field',
  });
}

function parsedAxis(text: string, label: string): AxisWord | readonly number[] {
  const word = Object.keys(AXIS_VECTORS).find((one): one is AxisWord => one === text.toLowerCase());
  if (word) return word;
  const numbers = text
    .split(/[;\s]+/)
    .filter((one) => one !== '')
    .map((one) => held(typedNumber(one), one, label, words.aNumber));
  if (numbers.length === 3) return numbers;
  throw new PartError({
    code: 'option.invalid',
    where: label,
    what: `"${text}" found, +z, -z, +x, -x, +y, -y or 0; 0; 1 expected`,
    remedy: 'correct the field',
  });
}
