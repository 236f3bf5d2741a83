import type { Io } from '../../src/cli/io.js';
import { run } from '../../src/cli/run.js';
import type { Engine } from '../../src/node/worker-engine.js';
import type { Setup } from '../../src/resolve-setup.js';
import { samplePlan } from '../support/plan-sample.js';

export interface Outcome {
  readonly code: number;
  readonly out: string;
  readonly err: string;
  /** What the engine was asked with, if it was. */
  readonly asked: { name: string; bytes: number; setup: Setup } | null;
}

/** An engine that answers at once with the sample plan, and notes what it was asked. */
export function fakeEngine(
  note: (asked: Outcome['asked']) => void,
  change: Parameters<typeof samplePlan>[0] = {},
): Engine {
  const plan = samplePlan(change);
  return {
    survey: async (part, name, setup, context) => {
      note({ name, bytes: part.length, setup });
      context.onAnswers?.({ kind: 'surface', ...plan });
      context.progress?.('reach', 0.5);
      context.onAnswers?.({ kind: 'work', ...plan });
      return {
        plan,
        files: new Map<string, Uint8Array | string>([
          ['plan.json', '{}\n'],
          ['part.glb', Uint8Array.of(1, 2)],
        ]),
      };
    },
    check: async (part, name, setup, _context, wishes) => {
      note({ name, bytes: part.length, setup });
      const { source, mesh, findings } = plan;
      return {
        source,
        mesh,
        findings,
        places: [],
        report: wishes.report ? '<!doctype html>\n' : null,
        fixed: wishes.fixed
          ? { stl: Uint8Array.of(1, 2, 3), filledHoles: 1, droppedShells: 2, mesh, findings: [] }
          : null,
      };
    },
  };
}

/** Runs a command line in a world without a process. */
export async function runCli(
  argv: readonly string[],
  change: Partial<Io> = {},
  plan: Parameters<typeof samplePlan>[0] = {},
): Promise<Outcome> {
  let out = '';
  let err = '';
  let asked: Outcome['asked'] = null;
  const code = await run(argv, {
    out: (text) => (out += text),
    err: (text) => (err += text),
    outIsTerminal: false,
    errIsTerminal: false,
    readIn: () => Promise.reject(new Error('nothing on stdin')),
    env: {},
    signal: new AbortController().signal,
    loadEngine: async () => fakeEngine((given) => (asked = given), plan),
    ...change,
  });
  return { code, out, err, asked };
}
