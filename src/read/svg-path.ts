import { arcPoints, curvePoints } from './svg-curves.js';

/** A piece of path data that is flattened to straight sides. */
export interface FlatPath {
  /** x and y in turn; the first point is not repeated */
  readonly points: number[];
  readonly closed: boolean;
}

const ARGUMENTS: Readonly<Record<string, number>> = {
  M: 2,
  L: 2,
  H: 1,
  V: 1,
  C: 6,
  S: 4,
  Q: 4,
  T: 2,
  A: 7,
  Z: 0,
};

/**
 * Straight sides of SVG path data (SVG 1.1, 8.3), all commands, absolute and relative.
 *
 * @param tolerance how far a side may stray from its curve, in the path's own units
 * @returns null if the data is malformed anywhere
 */
export function flattenPath(data: string, tolerance: number): FlatPath[] | null {
  const commands = readCommands(data);
  if (commands === null || (commands.length > 0 && commands[0].letter.toUpperCase() !== 'M')) return null;
  const pen = newPen();
  for (const { letter, numbers } of commands) draw(pen, letter, numbers, tolerance);
  finish(pen, false);
  return pen.paths;
}

type Point = readonly [number, number];

const newPen = () => ({
  x: 0,
  y: 0,
  startX: 0,
  startY: 0,
  /** Last control point, for the commands that reflect it. */
  controlX: 0,
  controlY: 0,
  last: '',
  paths: [] as FlatPath[],
  path: null as number[] | null,
});
type Pen = ReturnType<typeof newPen>;

function draw(pen: Pen, letter: string, n: readonly number[], tolerance: number): void {
  const kind = letter.toUpperCase();
  const [dx, dy] = letter === kind ? [0, 0] : [pen.x, pen.y];
  if (kind === 'Z') {
    finish(pen, true);
    pen.last = kind;
    return;
  }
  if (kind === 'M') {
    finish(pen, false);
    [pen.x, pen.y] = [n[0] + dx, n[1] + dy];
    [pen.startX, pen.startY] = [pen.x, pen.y];
    pen.last = kind;
    return;
  }
  pen.path ??= [pen.x, pen.y];
  const from: Point = [pen.x, pen.y];
  const reflected = (kinds: string): Point =>
    kinds.includes(pen.last) ? [2 * pen.x - pen.controlX, 2 * pen.y - pen.controlY] : from;
  const at = (i: number): Point => [n[i] + dx, n[i + 1] + dy];
  const end: Point = kind === 'H' ? [n[0] + dx, pen.y] : kind === 'V' ? [pen.x, n[0] + dy] : at(n.length - 2);
  let control = from;
  if (kind === 'A') pen.path.push(...arcPoints(from, n.slice(0, 5), end, tolerance));
  else if ('LHV'.includes(kind)) pen.path.push(...end);
  else {
    const first = kind === 'S' ? reflected('CS') : kind === 'T' ? reflected('QT') : at(0);
    const isCubic = 'CS'.includes(kind);
    control = isCubic ? at(n.length - 4) : first;
    pen.path.push(...curvePoints(isCubic ? [from, first, control, end] : [from, first, end], tolerance));
  }
  [pen.x, pen.y] = end;
  [pen.controlX, pen.controlY] = control;
  pen.last = kind;
}

function finish(pen: Pen, closes: boolean): void {
  const points = pen.path;
  pen.path = null;
  if (points !== null) {
    const size = points.length;
    const returns = points[0] === points[size - 2] && points[1] === points[size - 1];
    if (returns) points.length = size - 2;
    pen.paths.push({ points, closed: closes || returns });
  }
  if (closes) [pen.x, pen.y] = [pen.startX, pen.startY];
}

interface PathCommand {
  readonly letter: string;
  readonly numbers: readonly number[];
}

function readCommands(data: string): PathCommand[] | null {
  const commands: PathCommand[] = [];
  const number = /[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)/y;
  const flag = /[\s,]*([01])/y;
  const letterAt = /[\s,]*([a-zA-Z])/y;
  let at = 0;
  const take = (pattern: RegExp): string | null => {
    pattern.lastIndex = at;
    const match = pattern.exec(data);
    if (match) at = pattern.lastIndex;
    return match ? match[1] : null;
  };
  while (data.slice(at).trim() !== '') {
    let letter = take(letterAt);
    const count = letter === null ? undefined : ARGUMENTS[letter.toUpperCase()];
    if (letter === null || count === undefined) return null;
    for (let repeat = 0; ; repeat++) {
      const before = at;
      const numbers: number[] = [];
      for (let i = 0; i < count; i++) {
        // The two flags of an arc may stand without a separator.
        const text = take(count === 7 && (i === 3 || i === 4) ? flag : number);
        if (text === null) break;
        numbers.push(Number(text));
      }
      if (numbers.length < count) {
        if (repeat === 0 || numbers.length > 0) return null;
        at = before;
        break;
      }
      commands.push({ letter, numbers });
      if (count === 0) break;
      // Further pairs after a move are lines.
      if (letter === 'M') letter = 'L';
      if (letter === 'm') letter = 'l';
    }
  }
  return commands;
}
