import { tick, type Context } from '../core/context.js';
import { perCorner, perFace } from '../core/array-types.js';
import { concatenated } from '../core/concatenated.js';
import { sideBySide } from '../core/side-by-side.js';
import { AWAY } from '../zones/mark-away.js';
import { patchesDone, type FloorsAndWalls } from './floors-and-walls.js';
import { leftTogether, machinableAreas, type Candidate } from './ladder-candidates.js';
import { cleansDone, isMill } from './ladder-times.js';
import { restWork, type RestWork, type RestWorkInput } from './rest-work.js';
import { AT_ONCE } from './rest-volumes.js';

/**
 * What each cutter of a ladder must clean after those before it; null for the first, and for the first after mills
 * where these leave nothing that it reaches. Floors and walls are looked at apart by the mills that have been on them:
 * one that is too short for a wall reaches its rim all the same, and elsewhere only the balls before matter.
 */
export async function ladderRest(
  chosen: readonly Candidate[],
  on: FloorsAndWalls,
  input: RestWorkInput & { readonly areas: Float64Array; readonly leastGainMm2: number },
  context: Context,
): Promise<(RestWork | null)[]> {
  const mills = chosen.filter(isMill);
  const left = Float64Array.from(input.labels, (_, f) => leftTogether(mills, f));
  const done = patchesDone(on, left);
  const ground = { on, done, areas: machinableAreas(input), leastGainMm2: input.leastGainMm2 };
  const restOf = async (own: Candidate, before: readonly Candidate[]): Promise<RestWork | null> => {
    const earlier = before.filter(isMill),
      others = before.filter((other) => !isMill(other)),
      isMore = earlier.length > 0 && cleansDone(before, own, (f) => leftTogether(before, f), ground);
    const beenOn = on.patches.map((_, p) => {
      const some = done[p] ? earlier.filter(({ shapes }) => shapes[p].areaMm2 > 0) : [];
      // What is another mill's to begin they leave as a whole.
      return done[p] && some.length === 0 ? earlier : some;
    });
    const keyOf = (some: readonly Candidate[] = []): string => some.map(({ cutter }) => cutter.id).join();
    const groups = new Map([[], ...(isMore ? beenOn : [])].map((some) => [keyOf(some), some]));
    let rest: RestWork | null = null;
    for (const [key, some] of groups) {
      const those = [...some, ...others];
      if (those.length === 0) continue;
      const isIn = on.patches.map((_, p) => keyOf(beenOn[p]) === key);
      const labels = input.labels.map((label, f) =>
        (on.patchOf[f] < 0 ? key === '' : isIn[on.patchOf[f]]) ? label : label | AWAY,
      );
      const more: RestWork = await restWork(those, own, { ...input, labels }, context);
      rest = rest ? joined(rest, more) : more;
    }
    return rest;
  };
  let finished = 0;
  tick(context, 'rest between cutters', 0);
  return sideBySide(chosen, AT_ONCE, async (own, i) => {
    const rest = await restOf(own, chosen.slice(0, i));
    tick(context, 'rest between cutters', ++finished / chosen.length);
    return rest;
  });
}

/** The rest of two parts of a surface as one. */
function joined(one: RestWork, other: RestWork): RestWork {
  const vertices = one.surface.mesh.positions.length / 3,
    corners = one.surface.mesh.triangles.length;
  const all = [...one.patches, ...other.patches];
  const order = [...all.keys()].sort((a, b) => all[b].areaMm2 - all[a].areaMm2 || a - b);
  const rank = new Int32Array(all.length);
  order.forEach((p, i) => {
    rank[p] = i;
  });
  const { mesh, topology, normals, parent } = one.surface,
    more = other.surface;
  const patchOf = concatenated(Int32Array, [
    one.patchOf,
    other.patchOf.map((p) => (p < 0 ? p : p + one.patches.length)),
  ]);
  return {
    surface: {
      mesh: {
        positions: concatenated(Float64Array, [mesh.positions, more.mesh.positions]),
        triangles: concatenated(Uint32Array, [mesh.triangles, more.mesh.triangles.map((v) => v + vertices)]),
      },
      topology: {
        twin: concatenated(Int32Array, [
          topology.twin,
          more.topology.twin.map((h) => (h < 0 ? h : h + corners)),
        ]),
      },
      normals: perCorner(concatenated(Float64Array, [normals, more.normals])),
      parent: perFace(concatenated(Int32Array, [parent, more.parent])),
    },
    patchOf: patchOf.map((p) => (p < 0 ? p : rank[p])),
    patches: order.map((p) => all[p]),
    areaMm2: one.areaMm2 + other.areaMm2,
    volumeMm3: one.volumeMm3 + other.volumeMm3,
    greatestMm: greatestOf([one.greatestMm, other.greatestMm]),
  };
}

/** null where of some it was not computed. */
const greatestOf = (values: readonly (number | null)[]): number | null =>
  values.reduce<number | null>(
    (most, value) => (most === null || value === null ? null : Math.max(most, value)),
    0,
  );
