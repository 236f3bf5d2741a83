import { PartError } from '../../core/errors.js';
import { lengthMm, shareOfOne } from '../../core/units.js';
import { resolveSetup, type Setup } from '../../resolve-setup.js';
import {
  AXIS_WORDS,
  blockTyped,
  idsTyped,
  optionRow,
  OTHER_KEYS,
  PLACEMENT_KEYS,
  type AxisWord,
  type OptionKey,
  type OptionKind,
  type OptionRow,
} from '../../options.js';
import { machineTitles, PLACEHOLDER_MACHINE, readMachine, type Machine } from '../../time/machine.js';
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
/** The browser knows the day of a file; files have fields of their own, but a block may be typed. */
const TYPED = ROWS.filter(
  ([key, { kind }]) => key === 'block' || !['choice', 'switch', 'day', 'file'].includes(kind),
);

const MACHINE = machineTitles();
const FIGURES = MACHINE.filter(({ key }) => key !== 'name' && key !== 'currency');

/** Files, by the key of the set-up that they hold; `file` holds any of them, `block` a mesh. */
const FILES = [
  ['cutters', words.cuttersFile],
  ['cuttingData', words.cuttingDataFile],
  ['block', words.blockFile],
  ['file', words.setupFile],
] as const;
const JSON_FILES = '.json,application/json';
/** What may be chosen as a part, or as a block. */
export const MESH_FILES = '.stl,.3mf,.obj,.ply,.glb,.gltf';

/** The form's fields; an empty one means the default, which it shows greyed. */
export function setupFormHtml(): string {
  return `<div class="fields">${[
    ...CHOICES.map(([key, row]) => {
      const others = (row.choices ?? []).filter((one) => one !== row.default);
      return (
        `<div><label for="s-${key}">${labelOf(row)}</label><select id="s-${key}" name="${key}">` +
        `<option value="">${preset(row.default)}</option>${others.map((one) => `<option>${one}</option>`).join('')}</select></div>`
      );
    }),
    ...TYPED.map(([key, row]) =>
      textField(key, labelOf(row), preset(row.default, row.defaultText), row.about),
    ),
    ...SWITCHES.map(([key, row]) => {
      const checked = row.default === true ? ' checked' : '';
      return `<div class="check"><label><input type="checkbox" id="s-${key}" name="${key}"${checked}>${labelOf(row)}</label></div>`;
    }),
    ...FILES.map(([id, label]) => fileField(id, label)),
  ].join('\n')}</div>
<fieldset><legend>${words.machine}</legend><p class="hint">${words.machineHint}</p><div class="fields">${[
    fileField('machine', words.machineFile),
    ...MACHINE.map(({ key, title, description }) =>
      textField(`machine-${key}`, xmlText(title), machineShown(PLACEHOLDER_MACHINE[key]), description),
    ),
  ].join('\n')}</div></fieldset>`;
}

/** @param label HTML */
const textField = (key: string, label: string, placeholder: string, about = ''): string =>
  `<div><label for="s-${key}">${label}</label>` +
  `<input type="text" id="s-${key}" name="${key}" placeholder="${xmlText(placeholder)}" title="${xmlText(about)}" autocomplete="off" ` +
  `aria-describedby="s-${key}-bad"><p class="bad" id="s-${key}-bad" hidden></p></div>`;

const fileField = (id: string, label: string): string =>
  `<div><label for="s-${id}-file">${label}</label><input type="file" id="s-${id}-file" ` +
  `accept="${id === 'block' ? MESH_FILES : JSON_FILES}"><p class="hint" id="s-${id}-file-kept"></p></div>`;

/** A value as it is typed; none is said by the word given. */
const preset = (value: unknown, none: string = words.automatic): string =>
  Array.isArray(value) ? value.join('; ') : String(value ?? none);

const machineShown = (value: unknown): string => preset(value === null ? words.unlimited : value, '');

/** A label with its unit; lengths bring their own. */
function labelOf({ kind, label = '', unit }: OptionRow): string {
  if (unit === undefined) return xmlText(label);
  return xmlText(kind === 'choice' ? `${label} (${unit})` : `${label}, ${unit}`);
}

/** The set-up that the form means, and the mesh that is its block, to be read; null: none. */
export interface FormSetup {
  readonly setup: Setup;
  readonly blockMesh: KeptFile | null;
}

/**
 * Reads the form; where that fails at a field, the field is marked and says why.
 *
 * @param isAsked whether that field is to be gone to
 * @throws {PartError} naming the field
 */
export async function setupFromForm(
  form: HTMLFormElement,
  kept: KeptSetup,
  isAsked = true,
): Promise<FormSetup> {
  for (const bad of form.querySelectorAll('[aria-invalid]')) markField(form, bad.id, null);
  const unread: PartError[] = [];
  try {
    const read = await readForm(form, kept, unread);
    if (unread.length === 0) return read;
  } catch (error) {
    if (!(error instanceof PartError)) throw error;
    unread.push(error);
  }
  const told = unread.map((error) => atField(form, error));
  const first = form.querySelector<HTMLElement>('[aria-invalid]');
  if (isAsked) {
    first?.closest('details')?.setAttribute('open', '');
    first?.focus();
  }
  throw told[0];
}

/** Marks the field that an option was typed into; the error is then told of that. */
function atField(form: HTMLFormElement, error: PartError): PartError {
  if (!error.info.code.startsWith('option.')) return error;
  // `machine.maxRpm` has a field of its own, `radiiMm.2` has not.
  const [key, part] = error.info.where.replace(/^option: /, '').split('.');
  const field =
    form.querySelector<HTMLInputElement>(`#s-${key}-${part}`) ??
    form.querySelector<HTMLInputElement>(`#s-${key}`);
  if (field === null) return error;
  markField(form, field.id, error.info.what);
  return new PartError({
    ...error.info,
    where: field.labels?.[0]?.textContent ?? key,
    remedy: 'correct the field',
  });
}

function markField(form: HTMLFormElement, id: string, what: string | null): void {
  const field = need(form, id, HTMLElement);
  if (what === null) field.removeAttribute('aria-invalid');
  else field.setAttribute('aria-invalid', 'true');
  const bad = form.querySelector<HTMLElement>(`#${id}-bad`);
  if (bad === null) return;
  bad.textContent = what ?? '';
  bad.hidden = what === null;
}

/** @param unread gets what is wrong with single fields, which then count as empty */
async function readForm(form: HTMLFormElement, kept: KeptSetup, unread: PartError[]): Promise<FormSetup> {
  const given: Record<string, unknown> = {},
    typedOfMachine: Record<string, unknown> = {};
  const read = (into: Record<string, unknown>, key: string, parse: () => unknown): void => {
    try {
      into[key] = parse();
    } catch (error) {
      if (!(error instanceof PartError)) throw error;
      unread.push(error);
    }
  };
  const text = (key: string): string => {
    const field = form.elements.namedItem(key);
    return field instanceof HTMLInputElement || field instanceof HTMLSelectElement ? field.value.trim() : '';
  };
  for (const [key, row] of TYPED)
    if (text(key) !== '') read(given, key, () => parsed(row.kind, text(key), key));
  for (const [key] of CHOICES) if (text(key) !== '') given[key] = text(key);
  for (const [key, row] of SWITCHES) {
    const field = form.elements.namedItem(key);
    const isOn = field instanceof HTMLInputElement && field.checked;
    if (isOn !== row.default) given[key] = isOn;
  }
  for (const id of ['cutters', 'cuttingData'] as const) {
    const file = await kept.file(`s-${id}-file`);
    if (file) given[id] = parseJson(file);
  }
  const [whole, machine] = [await kept.file('s-file-file'), await kept.file('s-machine-file')];
  const file = whole ? parseJson(whole) : undefined;
  const base = machine
    ? readMachine(parseJson(machine), machine.name)
    : resolveSetup(file, {}, whole?.name).machine;
  for (const { key } of MACHINE) {
    need(form, `s-machine-${key}`, HTMLInputElement).placeholder = machineShown(base[key]);
    const typed = text(`machine-${key}`);
    if (typed !== '') read(typedOfMachine, key, () => machineValue(key, typed));
  }
  // As long as some figures are those of the placeholder, it is one.
  const placeholder =
    base.placeholder === true && FIGURES.some(({ key }) => typedOfMachine[key] === undefined);
  const own = { ...base, placeholder, ...typedOfMachine };
  if (machine || Object.keys(typedOfMachine).length > 0) given.machine = own;
  const setup = resolveSetup(file, given, whole?.name);
  return { setup, blockMesh: given.block === undefined ? await kept.file('s-block-file') : null };
}

function machineValue(key: keyof Machine, typed: string): unknown {
  if (!FIGURES.some((one) => one.key === key)) return typed;
  if (key === 'jerkMmPerS3' && typed === words.unlimited) return null;
  return held(typedNumber(typed), typed, `machine.${key}`, words.aNumber);
}

function parseJson({ bytes, name }: KeptFile): unknown {
  try {
    return JSON.parse(new TextDecoder().decode(bytes));
  } catch (error) {
    throw new PartError({
      code: 'setup.json',
      where: name,
      what: error instanceof Error ? error.message : 'no JSON',
      remedy: 'correct it there',
    });
  }
}

/** @param where key of the option */
function parsed(kind: OptionKind, text: string, where: string): unknown {
  const isLength = kind.startsWith('length');
  const read = (one: string): number =>
    isLength
      ? held(lengthMm(one), one, where, words.aLength)
      : held(typedNumber(one), one, where, words.aNumber);
  if (kind === 'share') return held(shareOfOne(text.replace(',', '.')), text, where, words.aShare);
  if (kind.endsWith('auto') && text === 'auto') return 'auto';
  if (kind === 'axis') return parsedAxis(text, where);
  if (kind === 'words') return idsTyped(text);
  if (kind === 'file') return parsedBlock(text, where);
  return kind === 'lengths' ? listed(text).map(read) : read(text);
}

const listed = (text: string): string[] => text.split(/[;\s]+/).filter((one) => one !== '');

function held(value: number, text: string, where: string, expected: string): number {
  return Number.isNaN(value) ? refuse(text, where, expected) : value;
}

function refuse(text: string, key: string, expected: string): never {
  throw new PartError({
    code: 'option.invalid',
    where: `option: ${key}`,
    what: `"${text}" found, ${expected} expected`,
    remedy: 'correct the field',
  });
}

function parsedAxis(text: string, where: string): AxisWord | 'auto' | readonly number[] {
  const word = [...AXIS_WORDS, 'auto' as const].find((one) => one === text.toLowerCase());
  if (word) return word;
  const numbers = listed(text).map((one) => held(typedNumber(one), one, where, words.aNumber));
  return numbers.length === 3 ? numbers : refuse(text, where, '+z, -z, +x, -x, +y, -y, auto or 0; 0; 1');
}

function parsedBlock(text: string, where: string): Setup['block'] {
  const typed = blockTyped(text);
  return typed === null || (typeof typed === 'object' && 'unread' in typed)
    ? refuse(text, where, words.aBlock)
    : typed;
}
