import { planSchema, type Plan } from '../plan/plan.js';
import { roundedForFile, roundedPlanMm } from './number.js';

type Plain = null | boolean | number | string;
type Json = Plain | readonly Json[] | { readonly [key: string]: Json };

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
    regions: plan.regions.map(withoutRings),
    stages: plan.stages.map(withoutRings),
  });
  if (!checked.success) {
    const { path, message } = checked.error.issues[0];
    throw new RangeError(`planJson: ${path.join('.')}: ${message}`);
  }
  const { regions, stages } = checked.data;
  return toJsonText({
    ...checked.data,
    regions: regions.map((region, i) => withRings(region, plan.regions[i])),
    stages: stages.map((stage, i) => withRings(stage, plan.stages[i])),
  });
}

type Ringed = Pick<Plan['regions'][number], 'rings'>;
const withoutRings = <T extends Ringed>(one: T) => ({ ...one, rings: [] });
const withRings = <T extends object>(one: T, { rings }: Ringed) => ({
  ...one,
  rings: rings.map((ring) => ring.map(([x, y]) => [roundedPlanMm(x), roundedPlanMm(y)])),
});

/**
 * JSON text of plain data, two spaces deep; lists of numbers or points and small objects on one line; a
 * newline at the end.
 *
 * @throws {RangeError} if a number is not finite
 */
export const toJsonText = (value: unknown): string => `${textOf(value as Json, '')}\n`;

/** An object of plain values that fits into so many characters stands on one line. */
const LINE = 120;

const isPlain = (value: Json): value is Plain => value === null || typeof value !== 'object';
const isList = (value: Json): value is readonly Json[] => Array.isArray(value);
const plainText = (value: Plain): string =>
  typeof value === 'number' ? String(roundedForFile(value)) : JSON.stringify(value);

function textOf(value: Json, indent: string): string {
  if (isPlain(value)) return plainText(value);
  if (isList(value)) {
    if (value.every(isFlat)) return flatText(value);
    const items = value.map((item) => textOf(item, `${indent}  `));
    return itemsText(items, indent, '[]');
  }
  const entries = Object.entries(value).filter(([, item]) => item !== undefined);
  const texts = (inner: string): string[] =>
    entries.map(([key, item]) => `${JSON.stringify(key)}: ${textOf(item, inner)}`);
  if (entries.length > 1 && entries.every(([, item]) => isPlain(item))) {
    const flat = texts('').join(', ');
    if (flat.length <= LINE) return `{${flat}}`;
  }
  return itemsText(texts(`${indent}  `), indent, '{}');
}

/** Numbers, and points made of numbers: what a reader wants to see on one line. */
function isFlat(value: Json): boolean {
  if (isPlain(value)) return typeof value === 'number';
  return isList(value) && value.length <= 3 && value.every((item) => typeof item === 'number');
}

const flatText = (list: readonly Json[]): string =>
  `[${list.map((item) => (isList(item) ? flatText(item) : textOf(item, ''))).join(', ')}]`;

function itemsText(items: readonly string[], indent: string, brackets: string): string {
  if (items.length === 0) return brackets;
  return `${brackets[0]}\n${items.map((item) => `${indent}  ${item}`).join(',\n')}\n${indent}${brackets[1]}`;
}
