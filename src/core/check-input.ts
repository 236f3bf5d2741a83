import { z } from 'zod';
import { PartError } from './errors.js';
import { nearestWord } from './nearest.js';

// The browser page runs under a policy that forbids `new Function`, zod's faster way of checking.
z.config({ jitless: true });

/** A text that may be shown anywhere: on a terminal, in a drawing, in a table. */
export const shownText = (): z.ZodString =>
  z.string().regex(/^[^\p{Cc}\p{Bidi_Control}\u2028\u2029]*$/u, 'a text without control characters');

type Issue = z.core.$ZodIssue;

/**
 * Checks data from outside (a parsed JSON file, options) against a schema and returns it typed.
 *
 * @param where file or thing that is blamed, e.g. `cutters.json`
 * @param code first half of the error's code: `setup` gives `setup.unknown-key` and `setup.invalid`
 * @param remedy what helps against a wrong value
 * @throws {PartError} naming the key, what was found there and what is expected; for an unknown key, the
 *   nearest known one. Only the first problem is told: unknown keys before wrong values.
 */
export function checkInput<T>(
  schema: z.ZodType<T>,
  value: unknown,
  where: string,
  code: string,
  remedy = 'correct it there',
): T {
  const knownKeys = new Map<string, readonly string[]>();
  const result = schema.safeParse(value, {
    error: (issue) => {
      if (issue.code === 'unrecognized_keys') knownKeys.set(issue.keys.join(), shapeKeys(issue.inst));
      return undefined;
    },
  });
  if (result.success) return result.data;
  const issues = result.error.issues.map(deepest);
  const issue = issues.find((one) => one.code === 'unrecognized_keys') ?? issues[0];
  const path = issue.path.map(String);
  if (issue.code === 'unrecognized_keys') {
    const key = issue.keys[0];
    const known = knownKeys.get(issue.keys.join()) ?? [];
    throw new PartError({
      code: `${code}.unknown-key`,
      where: place(where, path),
      what: `unknown key "${key}"`,
      remedy: suggestion(key, known),
    });
  }
  throw new PartError({
    code: `${code}.invalid`,
    where: place(where, path),
    what: `${describe(valueAt(value, path))} found, ${expectation(issue)} expected`,
    remedy,
  });
}

/** JSON Schema (2020-12) of a file of the first version, by its name: `machine`. */
export function publishedSchema(schema: z.ZodType, name: string, title: string): Record<string, unknown> {
  return {
    ...z.toJSONSchema(schema, { io: 'input' }),
    $id: `https://scarp.invalid/schema/${name}-1.schema.json`,
    title: `${title}, version 1`,
  };
}

/** "did you mean ...?" if a known word is near, else the list of known words. */
export function suggestion(word: string, known: readonly string[]): string {
  const nearest = nearestWord(word, known);
  return nearest === null ? `known: ${known.join(', ')}` : `did you mean "${nearest}"?`;
}

/**
 * A union fails as one issue with a list per branch: follow the branch that got furthest, unknown keys first.
 */
function deepest(issue: Issue): Issue {
  if (issue.code !== 'invalid_union' || issue.errors.length === 0) return issue;
  const candidates = issue.errors.flat().map(deepest);
  if (candidates.length === 0) return issue;
  const weight = (one: Issue) =>
    one.code === 'unrecognized_keys' ? 100 : one.code === 'invalid_type' ? 0 : 0.5;
  const rank = (one: Issue) => one.path.length + weight(one);
  const best = candidates.reduce((a, b) => (rank(b) > rank(a) ? b : a));
  return rank(best) > 0 ? { ...best, path: [...issue.path, ...best.path] } : issue;
}

function shapeKeys(inst: unknown): readonly string[] {
  return inst instanceof z.ZodObject ? Object.keys(inst.shape) : [];
}

function place(where: string, path: readonly string[]): string {
  return path.length === 0 ? where : `${where}: ${path.join('.')}`;
}

function valueAt(value: unknown, path: readonly string[]): unknown {
  let at = value;
  for (const key of path) {
    if (typeof at !== 'object' || at === null) return undefined;
    at = Object.entries(at).find(([name]) => name === key)?.[1];
  }
  return at;
}

function describe(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (Array.isArray(value)) {
    const text = value.every((one) => typeof one === 'number') ? JSON.stringify(value) : '';
    return value.length > 0 && text !== '' && text.length <= 40 ? text : `a list of ${value.length}`;
  }
  if (typeof value === 'object' && value !== null) return 'an object';
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return text.length > 40 ? `${text.slice(0, 37)}...` : text;
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  number: 'a number',
  int: 'a whole number',
  string: 'a text',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object',
  record: 'an object',
  tuple: 'a list',
  null: 'null',
};

function expectation(issue: Issue): string {
  switch (issue.code) {
    case 'invalid_type':
      return TYPE_WORDS[issue.expected] ?? issue.expected;
    case 'invalid_value':
      return `${issue.values.length === 1 ? '' : 'one of '}${issue.values.map((one) => JSON.stringify(one)).join(', ')}`;
    case 'too_small':
      return `${issue.inclusive ? 'at least' : 'more than'} ${counted(issue.minimum, issue.origin)}`;
    case 'too_big':
      return `${issue.inclusive ? 'at most' : 'less than'} ${counted(issue.maximum, issue.origin)}`;
    case 'invalid_union':
      return unionExpectation(issue.errors.flat());
    default:
      return issue.message;
  }
}

function counted(amount: number | bigint, origin: string): string {
  if (origin === 'string') return `${amount} characters`;
  return origin === 'array' ? `${amount} ${Number(amount) === 1 ? 'entry' : 'entries'}` : `${amount}`;
}

function unionExpectation(issues: readonly Issue[]): string {
  const words = issues.map((one) => expectation(deepest(one)));
  return [...new Set(words)].join(' or ');
}
