import { expect, test } from 'vitest';
import { bullNoseProfile, flatProfile, type CutterProfile } from '../../src/cutter/cutter-profile.js';
import { nestedAnswers } from '../../src/reach/nested-answers.js';
import type { ReachAnswers } from '../../src/reach/reach-engine.js';
import { POINT_STRIDE } from '../../src/reach/reach-kernels.js';

/** Points of which x is the largest radius that gets in there, in a room without roundings. */
const pointsOf = (radii: readonly number[]): Float64Array =>
  Float64Array.from(radii.flatMap((x, i) => [x, i, 0, 0, 0, 1]));

/** Answers from the definition, and notes the points asked of each cutter. */
function counted(): { readonly engine: ReachAnswers; readonly asked: number[][] } {
  const asked: number[][] = [];
  const run: ReachAnswers['run'] = async (task) => {
    if (task.kind !== 'cutter-reached') throw new RangeError(task.kind);
    const rooms = [...task.items].filter((_, i) => i % POINT_STRIDE === 0);
    asked.push(rooms);
    return Float64Array.from(rooms, (room) => (task.profile.radiusMm <= room ? Infinity : 0));
  };
  return { engine: { run }, asked };
}

test('what a cutter does not reach is not asked of one that reaches no more, and answered all the same', async () => {
  const rooms = [1, 2.5, 3, 4, 5, 6];
  const { engine, asked } = counted();
  const nested = nestedAnswers(engine);
  const ask = async (profile: CutterProfile): Promise<number[]> => [
    ...(await nested.run({ kind: 'cutter-reached', items: pointsOf(rooms), profile })),
  ];
  const inRooms = (radius: number): number[] => rooms.map((room) => (radius <= room ? Infinity : 0));
  expect(await ask(flatProfile(2))).toEqual(inRooms(2));
  expect(await ask(flatProfile(3))).toEqual(inRooms(3));
  // Its flat end is smaller than that of R 3, not than that of R 2: the first alone tells of it.
  expect(await ask(bullNoseProfile(3.5, 1))).toEqual(inRooms(3.5));
  expect(await ask(flatProfile(5))).toEqual(inRooms(5));
  expect(asked).toEqual([rooms, rooms.slice(1), rooms.slice(1), rooms.slice(2)]);
});
