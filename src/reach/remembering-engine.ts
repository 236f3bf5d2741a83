import type { LastAnswers } from '../core/last-answers.js';
import type { EngineData, EngineMaker, ReachEngine, ReachTask } from './reach-engine.js';

/**
 * An engine that answers what was asked the last time, too, without working it out again.
 *
 * Batches are known again by a 64-bit hash of all that they hold: of a million batches, two differ and look the same
 * with a chance of less than one in ten million.
 *
 * @param last where answers are kept, for as long as tree and limits are the same
 */
export function rememberingEngine(makeEngine: EngineMaker, last: LastAnswers): EngineMaker {
  return (data: EngineData) => {
    const engine = makeEngine(data);
    const { toleranceMm, slackMm } = data.limits;
    const generations = last.recall('answers', [data.tree, toleranceMm, slackMm], newGenerations);
    const [before, now] = generations.next();
    const run: ReachEngine['run'] = async (task, signal, onDone) => {
      signal?.throwIfAborted();
      const key = taskKey(task);
      const answer = now.get(key) ?? before.get(key) ?? (await engine.run(task, signal, onDone));
      now.set(key, answer);
      return answer.slice();
    };
    return { run, close: () => engine.close() };
  };
}

type Answers = Map<string, Float64Array>;

/** Answers of the time before, and of now: what is not asked for again is forgotten. */
function newGenerations(): { readonly next: () => readonly [before: Answers, now: Answers] } {
  let now: Answers = new Map();
  return {
    next: () => {
      const before = now;
      now = new Map();
      return [before, now];
    },
  };
}

function taskKey({ items, mayWait: _, ...task }: ReachTask): string {
  const others = JSON.stringify(task, (_key, value: unknown) =>
    value instanceof Float64Array ? Array.from(value) : value,
  );
  return `${hashOf(items)} ${items.length} ${others}`;
}

/** FNV-1a (IETF draft-eastlake-fnv) over 32-bit words, twice with other starts and in other orders. */
function hashOf(items: Float64Array): string {
  const words = new Uint32Array(items.buffer, items.byteOffset, 2 * items.length);
  let up = 0x811c9dc5,
    down = 0x2f0b4c47;
  for (let i = 0, j = words.length - 1; j >= 0; i++, j--) {
    up = Math.imul(up ^ words[i], 0x01000193);
    up ^= up >>> 15;
    down = Math.imul(down ^ words[j], 0x01000193);
    down ^= down >>> 13;
  }
  return `${up >>> 0} ${down >>> 0}`;
}
