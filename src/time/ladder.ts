/**
 * A cutter that may take part, from the largest to the smallest. Nested: each reaches all that those before
 * it reach.
 */
export interface Rung {
  readonly id: string;
  /** area it does not reach, mm²; non-increasing from rung to rung */
  readonly unreachedAreaMm2: number;
  /** how fast it finishes, mm²/min, > 0 */
  readonly rateMm2PerMin: number;
  /** why it must not be used (too short, ...), or null */
  readonly barred: string | null;
}

export interface LadderOptions {
  /** machinable area, mm² */
  readonly totalAreaMm2: number;
  readonly toolChangeMinutes: number;
  /** areas that differ by no more count as equal, mm² */
  readonly areaToleranceMm2: number;
  /**
   * minutes that a cutter takes for what the one before it left (null: it is the first), the change not
   * counted; `Infinity`: it must not follow; absent: by the rates
   */
  readonly minutesAfter?: (before: Rung | null, rung: Rung) => number;
}

/** One cutter of the chosen sequence. */
export interface Step {
  readonly id: string;
  readonly finishedAreaMm2: number;
  readonly unreachedAreaMm2: number;
  /** cutting, without the change of cutter before it */
  readonly minutes: number;
  /** what the job takes longer without this cutter; null: without it some area stays unreached */
  readonly savesMinutes: number | null;
}

/** Why a cutter is not in the sequence. */
export interface LeftOut {
  readonly id: string;
  readonly reason: 'barred' | 'reaches-nothing-more' | 'slower';
  readonly detail: string;
  /** what the job would take longer with it; null where it must not be used, or cannot be fitted in */
  readonly extraMinutes: number | null;
}

export interface Ladder {
  readonly steps: readonly Step[];
  /** cutting and a change before every cutter */
  readonly minutes: number;
  /** what no cutter reaches */
  readonly unreachedAreaMm2: number;
  readonly whyLeftOut: readonly LeftOut[];
}

/**
 * The fastest sequence of nested cutters that finishes all that any of them can: shortest path over a
 * directed graph without cycles. Going on from cutter i to a smaller j costs one change and `(U_i - U_j) /
 * rate_j`, U being the unreached area, or what `minutesAfter` says; the way ends wherever U is the least.
 * O(m²).
 *
 * Source: Yao, Gupta & Nau, CAD 35:825-839, 2003 (end mills there, balls here; node layout from memory).
 *
 * @param rungs from the largest to the smallest
 * @throws {RangeError} for an increasing unreached area or a rate that is not positive
 */
export function nestedLadder(rungs: readonly Rung[], options: LadderOptions): Ladder {
  checkRungs(rungs, options);
  const usable = rungs.filter((rung) => rung.barred === null);
  const least = usable.length === 0 ? options.totalAreaMm2 : usable[usable.length - 1].unreachedAreaMm2;
  const best = shortestPath(usable, options, least);
  const steps = best.path.map((rung, i): Step => {
    const before = i === 0 ? options.totalAreaMm2 : best.path[i - 1].unreachedAreaMm2;
    const without = shortestPath(
      usable.filter((other) => other !== rung),
      options,
      least,
    );
    return {
      id: rung.id,
      finishedAreaMm2: before - rung.unreachedAreaMm2,
      unreachedAreaMm2: rung.unreachedAreaMm2,
      minutes: cuttingMinutes(best.path[i - 1] ?? null, rung, options),
      savesMinutes: without.minutes === Infinity ? null : without.minutes - best.minutes,
    };
  });
  const left = rungs.filter((rung) => !best.path.includes(rung));
  return {
    steps,
    minutes: best.minutes,
    unreachedAreaMm2: least,
    whyLeftOut: left.map((rung) => whyLeftOut(rung, usable, options, best.minutes)),
  };
}

function cuttingMinutes(before: Rung | null, rung: Rung, options: LadderOptions): number {
  if (options.minutesAfter) return options.minutesAfter(before, rung);
  const from = before ? before.unreachedAreaMm2 : options.totalAreaMm2;
  return Math.max(0, from - rung.unreachedAreaMm2) / rung.rateMm2PerMin;
}

interface Path {
  readonly path: readonly Rung[];
  readonly minutes: number;
}

/**
 * Fastest way that ends with no more than `least` unreached, through `via` if given; of equals the shorter.
 */
function shortestPath(rungs: readonly Rung[], options: LadderOptions, least: number, via?: Rung): Path {
  const { totalAreaMm2, toolChangeMinutes, areaToleranceMm2 } = options;
  const none: Path = { path: [], minutes: Infinity };
  if (totalAreaMm2 - least <= areaToleranceMm2 && !via) return { path: [], minutes: 0 };
  const viaAt = via ? rungs.indexOf(via) : -1;
  const to: Path[] = [];
  rungs.forEach((rung, j) => {
    const cost = (before: Rung | null): number => toolChangeMinutes + cuttingMinutes(before, rung, options);
    // Past `via`, only ways that came through it count.
    let best: Path = viaAt >= 0 && j > viaAt ? none : { path: [rung], minutes: cost(null) };
    for (let i = Math.max(0, j > viaAt ? viaAt : 0); i < j; i++) {
      const minutes = to[i].minutes + cost(rungs[i]);
      if (shorter(minutes, to[i].path.length + 1, best)) best = { path: [...to[i].path, rung], minutes };
    }
    to.push(best);
  });
  const ends = to.filter((_, j) => j >= viaAt && rungs[j].unreachedAreaMm2 - least <= areaToleranceMm2);
  return ends.reduce((best, end) => (shorter(end.minutes, end.path.length, best) ? end : best), none);
}

/** Rounding must not make a way with one cutter more the better of two equals. */
function shorter(minutes: number, length: number, best: Path): boolean {
  const margin = 1e-9 * Math.max(1, minutes);
  if (best.minutes === Infinity) return minutes < Infinity;
  return minutes < best.minutes - margin || (minutes < best.minutes + margin && length < best.path.length);
}

function whyLeftOut(rung: Rung, usable: readonly Rung[], options: LadderOptions, minutes: number): LeftOut {
  if (rung.barred !== null) {
    return { id: rung.id, reason: 'barred', detail: rung.barred, extraMinutes: null };
  }
  const least = usable[usable.length - 1].unreachedAreaMm2;
  const longer = shortestPath(usable, options, least, rung).minutes - minutes;
  const extraMinutes = longer === Infinity ? null : longer;
  const at = usable.indexOf(rung);
  const before = at === 0 ? options.totalAreaMm2 : usable[at - 1].unreachedAreaMm2;
  if (before - rung.unreachedAreaMm2 <= options.areaToleranceMm2) {
    const detail = at === 0 ? 'it reaches nothing' : `it reaches nothing that ${usable[at - 1].id} does not`;
    return { id: rung.id, reason: 'reaches-nothing-more', detail, extraMinutes };
  }
  return { id: rung.id, reason: 'slower', detail: 'the job takes longer with it', extraMinutes };
}

function checkRungs(rungs: readonly Rung[], options: LadderOptions): void {
  let before = options.totalAreaMm2;
  for (const { id, unreachedAreaMm2, rateMm2PerMin } of rungs) {
    if (!(unreachedAreaMm2 >= 0 && unreachedAreaMm2 <= before + options.areaToleranceMm2)) {
      throw new RangeError(`nestedLadder: ${id} leaves ${unreachedAreaMm2} mm², expected 0 to ${before}`);
    }
    if (!(rateMm2PerMin > 0)) throw new RangeError(`nestedLadder: cutter ${id} has rate ${rateMm2PerMin}`);
    before = Math.min(before, unreachedAreaMm2);
  }
}
