import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { cornersByVertex, reachedVertices, type VertexQuestions } from './reached-vertices.js';
import type { ReachProbe } from './reach-probe.js';
import { reachBorders } from './unreached-area.js';
import type { SmoothPart } from '../part/sagittas.js';
import { subSurface } from '../surface/sub-surface.js';
import type { Surface } from '../part/types.js';
import { AWAY } from '../zones/mark-away.js';
import type { BorderTold } from './reach-middles.js';
import { cutAtBorder } from './tight-patches.js';
import { touchingFaces } from '../surface/touching-faces.js';

/** Part of a surface: the facets whose label is machinable belong to it. */
export interface SurfacePart {
  readonly surface: Surface;
  readonly labels: Uint8Array;
  /** (V) vertex of the surface that it was first taken from; -1: put in since */
  readonly origin: Int32Array;
}

export interface CutOptions {
  /** whether facets that are all reached stay, too; else those beside what is not reached alone */
  readonly isWhole: boolean;
  /** look only at what hangs together with vertices known not to be reached; all else counts as reached */
  readonly around: boolean;
  /** (V of the first surface) 1: reached; 0: not; -1: to be asked, as vertices are that were put in since */
  readonly known: Int8Array;
  /** (V of the first surface) reach radius, mm, Infinity: reached; NaN: to be asked */
  readonly reachRadii: Float64Array;
  /** of the first surface: where borders lie that need not be asked */
  readonly toldBorder: BorderTold;
  readonly smooth: SmoothPart;
  /** along an edge, mm */
  readonly accuracyMm: number;
}

/** A part of a surface cut along the border of a cutter's reach. */
export interface CutPart extends SurfacePart {
  /** (F) 0: belongs to the part, and is not reached */
  readonly unreached: Int32Array;
}

/** A whole surface as part of itself. */
export const wholeSurface = (surface: Surface, labels: Uint8Array): SurfacePart => ({
  surface,
  labels,
  origin: new Int32Array(surface.mesh.positions.length / 3).map((_, v) => v),
});

/** What a cutter does not reach of the part that it was cut from. */
export const unreachedOf = ({ surface, labels, origin, unreached }: CutPart): SurfacePart => ({
  surface,
  origin,
  labels: labels.map((label, f) => (unreached[f] === 0 ? label : label | AWAY)),
});

/**
 * Cuts a part of a surface along the border of one cutter's reach. Nothing is assumed about how that border lies to
 * borders cut before.
 */
export async function cutByReach(
  part: SurfacePart,
  probe: ReachProbe,
  options: CutOptions,
  context: Context,
): Promise<CutPart> {
  const { known, reachRadii: surveyed, isWhole, around, smooth, accuracyMm } = options;
  const state = mapTo(new Int8Array(part.origin.length), part.origin, (v) => (v < 0 ? -1 : known[v]));
  const questions = { ...part, at: cornersByVertex(part.surface.mesh), part: smooth };
  const reach = mapTo(new Float64Array(part.origin.length), part.origin, (v) => (v < 0 ? NaN : surveyed[v]));
  const ask: Ask = async (vertices) => {
    const unknown = vertices.filter((v) => Number.isNaN(reach[v]));
    const found = await reachedVertices(unknown, questions, probe, context);
    unknown.forEach((v, i) => {
      reach[v] = found[i];
    });
    for (const v of vertices) state[v] = reach[v] >= probe.radii[0] ? 1 : 0;
  };
  await (around ? askAround(state, questions, ask) : ask([...state.keys()].filter((v) => state[v] < 0)));
  const { surface, vertexOf, faceOf } = subSurface(
    part.surface,
    isWhole ? allFaces(part) : touchingFaces(part.surface, part.labels, (v) => state[v] === 0),
  );
  const labels = mapTo(new Uint8Array(faceOf.length), faceOf, (f) => part.labels[f]);
  const counts = mapTo(new Uint8Array(vertexOf.length), vertexOf, (v) => (state[v] === 0 ? 0 : 1));
  const reachRadii = mapTo(new Float64Array(vertexOf.length), vertexOf, (v) => reach[v]);
  const toldBorder: BorderTold = (...[out, reached, radius]) => {
    const [from, to] = [part.origin[vertexOf[out]], part.origin[vertexOf[reached]]];
    return from < 0 || to < 0 || Number.isNaN(surveyed[from] + surveyed[to])
      ? NaN
      : options.toldBorder(from, to, radius);
  };
  const asked = { surface, labels, counts, reachRadii, toldBorder, part: smooth, radii: probe.radii };
  const [border] = await reachBorders(asked, probe.engine, accuracyMm, context);
  const cut = cutAtBorder(surface, labels, counts, border);
  const origin = new Int32Array(cut.surface.mesh.positions.length / 3).fill(-1);
  vertexOf.forEach((v, i) => {
    origin[i] = part.origin[v];
  });
  return { surface: cut.surface, origin, labels: cut.labels, unreached: cut.unreached };
}

const allFaces = ({ labels }: SurfacePart): Uint32Array => Uint32Array.from(labels.keys());

/** Finds out about vertices. */
type Ask = (vertices: readonly number[]) => Promise<void>;

/** Asks outwards from the vertices that are known not to be reached, until the cutter reaches all round. */
async function askAround(
  state: Int8Array,
  {
    surface: {
      mesh: { triangles },
    },
    labels,
    at,
  }: VertexQuestions,
  ask: Ask,
): Promise<void> {
  const isAsked = new Uint8Array(state.length);
  let front = [...state.keys()].filter((v) => state[v] === 0);
  while (front.length > 0) {
    const open: number[] = [];
    for (const v of front) {
      for (let c = at.start[v]; c < at.start[v + 1]; c++) {
        const f = (at.items[c] / 3) | 0;
        if (labels[f] >= MACHINABLE_CLASSES) continue;
        for (let h = 3 * f; h < 3 * f + 3; h++) {
          const u = triangles[h];
          if (state[u] >= 0 || isAsked[u] === 1) continue;
          isAsked[u] = 1;
          open.push(u);
        }
      }
    }
    await ask(open);
    front = open.filter((v) => state[v] === 0);
  }
  for (let v = 0; v < state.length; v++) if (state[v] < 0) state[v] = 1;
}
