import { planSchema, type Plan } from '../plan/plan.js';
import { roundedForFile, roundedPlanMm } from './number.js';

type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/**
 * The plan as JSON text: keys in the order of the schema, numbers to 12 significant digits (points of rings
 * to 0.0001 mm), lists of numbers on one line. The same plan gives the same bytes.
 *
 * @throws {RangeError} naming the key if the plan breaks its own schema, e.g. holds Infinity or NaN
 */
export function planJson(plan: Plan): string {
  // Rings hold nearly all numbers of a plan; rounding refuses a bad one just as well, at a tenth of the time.
  const checked = planSchema.safeParse({
    ...plan,
    regions: plan.regions.map((region) => ({ ...region, rings: [] })),
  });
  if (!checked.success) {
    const { path, message } = checked.error.issues[0];
    throw new RangeError(`planJson: ${path.join('.')}: ${message}`);
  }
  const regions = checked.data.regions.map((region, i) => ({
    ...region,
    rings: plan.regions[i].rings.map((ring) => ring.map(([x, y]) => [roundedPlanMm(x), roundedPlanMm(y)])),
  }));
  return toJsonText({ ...checked.data, regions });
}

/**
 * JSON text of plain data, two spaces deep; lists of numbers or points and small objects on one line; a
 * newline at the end.
 *
 * @throws {RangeError} if a number is not finite
 */
export function toJsonText(value: unknown): string {
  const parts: string[] = [];
  append(parts, value as Json, '');
  return `${parts.join('')}\n`;
}

/** An object of plain values that fits into so many characters stands on one line. */
const LINE = 120;

const isPlain = (value: Json): boolean => value === null || typeof value !== 'object';
const plainText = (value: Json): string =>
  typeof value === 'number' ? String(roundedForFile(value)) : JSON.stringify(value);

function append(parts: string[], value: Json, indent: string): void {
  if (value === null || typeof value !== 'object') {
    parts.push(plainText(value));
  } else if (isList(value)) {
    if (value.every(isFlat)) appendFlat(parts, value);
    else
      appendItems(
        parts,
        value.map((item) => ['', item] as const),
        indent,
        '[]',
      );
  } else {
    const entries = Object.entries(value).filter(([, item]) => item !== undefined);
    if (entries.length > 1 && entries.every(([, item]) => isPlain(item))) {
      const flat = entries.map(([key, item]) => `${JSON.stringify(key)}: ${plainText(item)}`).join(', ');
      if (flat.length <= LINE) {
        parts.push(`{${flat}}`);
        return;
      }
    }
    appendItems(
      parts,
      entries.map(([key, item]) => [`${JSON.stringify(key)}: `, item] as const),
      indent,
      '{}',
    );
  }
}

const isList = (value: Json): value is readonly Json[] => Array.isArray(value);

/** Numbers, and points made of numbers: what a reader wants to see on one line. */
function isFlat(value: Json): boolean {
  if (typeof value === 'number') return true;
  return (
    value !== null &&
    typeof value === 'object' &&
    isList(value) &&
    value.length <= 3 &&
    value.every((item) => typeof item === 'number')
  );
}

function appendFlat(parts: string[], list: readonly Json[]): void {
  parts.push('[');
  list.forEach((item, i) => {
    if (i > 0) parts.push(', ');
    if (item !== null && typeof item === 'object' && isList(item)) appendFlat(parts, item);
    else append(parts, item, '');
  });
  parts.push(']');
}

function appendItems(
  parts: string[],
  items: readonly (readonly [string, Json])[],
  indent: string,
  brackets: string,
): void {
  if (items.length === 0) {
    parts.push(brackets);
    return;
  }
  const inner = `${indent}  `;
  parts.push(brackets[0], '\n');
  items.forEach(([prefix, item], i) => {
    parts.push(inner, prefix);
    append(parts, item, inner);
    parts.push(i < items.length - 1 ? ',\n' : '\n');
  });
  parts.push(indent, brackets[1]);
}
