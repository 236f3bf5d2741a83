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
 * where these leave nothing that it reaches. Floors and walls that mills have been on are looked at apart: elsewhere only the balls
 * before matter.
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
  const within = (isDone: boolean): RestWorkInput => ({
    ...input,
    labels: input.labels.map((label, f) => (!!done[on.patchOf[f]] === isDone ? label : label | AWAY)),
  });
  const ofMills = mills.length > 0 ? within(true) : input,
    ofOthers = mills.length > 0 ? within(false) : input;
  const ground = { on, done, areas: machinableAreas(input), leastGainMm2: input.leastGainMm2 };
  const isMore = (before: readonly Candidate[], own: Candidate): boolean =>
    cleansDone(before, own, (f) => leftTogether(before, f), ground);
  let finished = 0;
  tick(context, 'rest between cutters', 0);
  return sideBySide(chosen, AT_ONCE, async (own, i) => {
    const before = chosen.slice(0, i),
      others = before.filter((other) => !isMill(other));
    const onDone =
      before.some(isMill) && isMore(before, own) ? await restWork(before, own, ofMills, context) : null;
    const elsewhere = others.length > 0 ? await restWork(others, own, ofOthers, context) : null;
    tick(context, 'rest between cutters', ++finished / chosen.length);
    return onDone && elsewhere ? joined(elsewhere, onDone) : (onDone ?? elsewhere);
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
