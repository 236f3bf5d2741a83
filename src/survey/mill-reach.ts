import { perCorner, perFace } from '../core/array-types.js';
import { tick, type Context } from '../core/context.js';
import { cutterShape, type Cutter } from '../cutter/catalogue.js';
import { offsetProfile } from '../cutter/cutter-profile.js';
import { nextCorner, prevCorner } from '../part/half-edge.js';
import { facetNormals } from '../part/facet-normals.js';
import type { SmoothPart } from '../part/sagittas.js';
import { nestedAnswers } from '../reach/nested-answers.js';
import type { Surface } from '../part/types.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { NOTHING_TOLD } from '../reach/reach-middles.js';
import { reachProbe, type ReachProbe } from '../reach/reach-probe.js';
import { cornersByVertex, reachedVertices } from '../reach/reached-vertices.js';
import { fractionsAlong, reachBorders, unreachedArea, type ReachCounts } from '../reach/unreached-area.js';
import type { Setup } from '../resolve-setup.js';
import { longestEdge, nextToBisect } from '../surface/longest-edge.js';
import { subSurface } from '../surface/sub-surface.js';
import { resumeSurface, type SurfaceBuilder } from '../surface/surface-builder.js';
import { grownStrips, patchShapes, type PatchShape } from '../time/mill-pass.js';
import { profileOfCutter, type CutterReach } from './analyse-cutters.js';
import { BORDER_ACCURACY_MM, type ReachAnalysis } from './analyse-reach.js';
import { millsOf, type FloorsAndWalls } from './floors-and-walls.js';
import type { Candidate } from './ladder-candidates.js';
import type { StickoutProbe } from './ladder-stickout.js';

/** A flat or bull-nose cutter, and what it leaves of floors and walls; all else it leaves as it is. */
export interface Mill extends Candidate {
  /** what it reaches of each patch */
  readonly shapes: readonly PatchShape[];
}

export interface MillReach {
  /** patches that no cutter reaches anything of are none */
  readonly on: FloorsAndWalls;
  /** large to small */
  readonly mills: readonly Mill[];
  /** in the order of the catalogue */
  readonly cutters: readonly CutterReach[];
}

export interface MillInput {
  readonly reach: ReachAnalysis;
  readonly part: SmoothPart;
  readonly engine: ReachAnswers;
  readonly setup: Setup;
  readonly probe: StickoutProbe;
}

/** Floors and walls as a surface of their own. */
interface Ground extends ReturnType<typeof subSurface> {
  /** of the surface on which reach was computed */
  readonly faces: Uint32Array;
  /** vertices where one of them ends */
  readonly ends: readonly number[];
}

/** What flat and bull-nose cutters reach of floors and walls, where they need not stick out too far. */
export async function millReach(on: FloorsAndWalls, input: MillInput, context: Context): Promise<MillReach> {
  const mills: Mill[] = [];
  const cutters = on.patches.length === 0 ? [] : millsOf(input.setup).reverse();
  const nested = { ...input, engine: nestedAnswers(input.engine) };
  const isAsked = (f: number): boolean => cutters.length > 0 && on.patchOf[f] >= 0;
  const faces = Uint32Array.from([...on.patchOf.keys()].filter(isAsked));
  const some = subSurface(input.reach.surface, faces);
  const ground = { faces, ...some, ends: verticesAtEnds(some.surface) };
  for (const [i, cutter] of cutters.entries()) {
    tick(context, 'other cutters', i / cutters.length);
    mills.unshift(await reachOfMill(cutter, on, ground, nested, context));
  }
  if (cutters.length > 0) tick(context, 'other cutters', 1);
  const isReached = on.patches.map((_, p) => mills.some(({ shapes }) => shapes[p].areaMm2 > 0));
  return {
    on: { ...on, patchOf: on.patchOf.map((p) => (p >= 0 && isReached[p] ? p : -1)) },
    mills,
    cutters: input.setup.cutters.flatMap((cutter): CutterReach[] => {
      const mill = mills.find((own) => own.cutter === cutter);
      if (!mill) return [];
      const { unreachedAreaMm2 } = mill;
      const notAsked = { restVolumeMm3: null, maxGapMm: null };
      return [{ cutterId: cutter.id, shape: cutterShape(cutter), unreachedAreaMm2, ...notAsked }];
    }),
  };
}

/** Cosine above which two normals at one place are of one floor or wall. */
const ALONG = 0.99;
/** Where a border runs, edges are no longer than this share of the cutter's radius; where all is left, than that. */
const FINE_SHARE = 0.1,
  EVEN_SHARE = 0.5;

/**
 * Floors and walls alone are asked about, and refined along the border, apart: what balls reach stays as it was told.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: what is found apart is told of the whole in one piece
async function reachOfMill(
  cutter: Cutter,
  { patchOf, patches }: FloorsAndWalls,
  { faces, surface: some, vertexOf, ends }: Ground,
  { reach, part, engine, setup, probe }: MillInput,
  { signal }: Context,
): Promise<Mill> {
  const { labels, areas } = reach;
  const profile = profileOfCutter(cutter);
  const inner = signal ? { signal } : {};
  const asking = reachProbe(engine, offsetProfile(profile, setup.stockMm));
  const { build, origin } = withOrigins(
    resumeSurface(
      some,
      Uint8Array.from(faces, (f) => labels[f]),
    ),
  );
  const asked = await refinedAtBorder(build, ends, asking, part, inner);
  const { mesh, topology } = asked.surface;
  const [border] = await reachBorders(asked, asking.engine, BORDER_ACCURACY_MM, inner);
  const { areas: own } = facetNormals(mesh);
  const left = unreachedArea(asked, own, border, new Float32Array(3 * own.length)).share;
  const isReached = (v: number): boolean => asked.counts[v] > 0;
  const patchAt = origin.map((f) => patchOf[faces[f]]);
  const tooLong = patchesTooLong();
  const reached = (f: number): number => (tooLong[patchAt[f]] ? 0 : 1 - left[f]);
  const cut = {
    mesh,
    topology,
    patchOf: patchAt,
    areas: own,
    reached,
    isReached,
    fractions: fractionsAlong(border, topology.twin, new Float64Array(mesh.triangles.length).fill(1)),
  };
  // A flat end leaves nothing of a floor but corners in plan.
  const isCorners = (p: number): boolean => cutter.RE === 0 && patches[p].kind === 'floor';
  const grows = (p: number): number => setup.blendShare * (isCorners(p) ? 2 : 1),
    strips = grownStrips(cut, grows, setup.blendShare * profile.radiusMm);
  const share = new Float64Array(labels.length).fill(1),
    strip = new Float64Array(labels.length);
  origin.forEach((f, i) => {
    const at = faces[f];
    if (!(areas[at] > 0)) return;
    share[at] -= (own[i] * reached(i)) / areas[at];
    strip[at] += strips[i] / areas[at];
  });
  // Sums of halves come out a rounding off 0 and 1.
  for (const f of faces) share[f] = share[f] < 1e-9 ? 0 : Math.min(1, share[f]);
  const counts = new Uint8Array(reach.counts.length);
  some.mesh.triangles.forEach((v, h) => {
    if (isReached(v) && !tooLong[patchOf[faces[(h / 3) | 0]]]) counts[vertexOf[v]] = 1;
  });
  return {
    cutter,
    profile,
    counts,
    index: 0,
    share,
    larger: share.map((own, f) => own + strip[f]),
    border: null,
    unreachedAreaMm2: faces.reduce((sum, f) => sum + share[f] * areas[f], 0),
    shapes: patchShapes(cut, patches.length),
  };

  /** Patches where it would be too short, or too slender. */
  function patchesTooLong(): boolean[] {
    const corners: number[][] = patches.map(() => []);
    const last = new Int32Array(vertexOf.length).fill(-1);
    some.mesh.triangles.forEach((v, h) => {
      const f = faces[(h / 3) | 0],
        p = patchOf[f];
      if (!isReached(v) || last[v] === p) return;
      last[v] = p;
      corners[p].push(3 * f + (h % 3));
    });
    return corners.map((own) => {
      if (own.length === 0) return false;
      const { exceedsUsable, lengthToDiameter, neckTouches } = probe.atCorners(cutter, own);
      return exceedsUsable || neckTouches || lengthToDiameter > setup.mostLengthToDiameter;
    });
  }
}

/**
 * Finds what is reached, asking inwards from where floors and walls end, as far as it is not: what one of these cutters
 * leaves of a floor lies beside what bounds it, and of a wall goes down to its foot. Edges are halved along the border
 * of reach until it shows as a curve.
 */
async function refinedAtBorder(
  build: SurfaceBuilder,
  ends: readonly number[],
  probe: ReachProbe,
  part: SmoothPart,
  context: Context,
): Promise<ReachCounts> {
  const reach: number[] = [];
  let open = ends;
  while (open.length > 0) {
    const { surface, labels } = current(build),
      { triangles } = surface.mesh,
      at = cornersByVertex(surface.mesh);
    while (open.length > 0) {
      const answers = await reachedVertices(open, { surface, labels, at, part }, probe, context);
      open.forEach((v, i) => {
        reach[v] = answers[i];
      });
      const next = new Set<number>();
      for (const v of open) {
        if (reach[v] > 0) continue;
        for (let c = at.start[v]; c < at.start[v + 1]; c++) {
          const h = at.items[c];
          for (const w of [triangles[nextCorner(h)], triangles[prevCorner(h)]])
            if (reach[w] === undefined) next.add(w);
        }
      }
      open = [...next];
    }
    open = halved(build, reach, probe.radii[0]);
  }
  const reachRadii = Float64Array.from({ length: build.vertexCount() }, (_, v) => reach[v] ?? Infinity),
    counts = Uint8Array.from(reachRadii, (own) => (own > 0 ? 1 : 0));
  return { ...build.finish(), reachRadii, counts, toldBorder: NOTHING_TOLD, radii: probe.radii, part };
}

/** Halves facets that are too long for what is left of them at their longest edge. @returns the new vertices */
function halved(build: SurfaceBuilder, reach: readonly number[], radius: number): number[] {
  const known = build.vertexCount(),
    faces = build.faceCount(),
    arrays = build.arrays();
  const isLeft = (v: number): number => (reach[v] === 0 ? 1 : 0);
  for (let f = 0; f < faces; f++) {
    const { triangles } = arrays,
      a = triangles[3 * f],
      b = triangles[3 * f + 1],
      c = triangles[3 * f + 2];
    const left = isLeft(a) + isLeft(b) + isLeft(c);
    // One with a vertex put in just now is looked at again when that is known.
    if (left === 0 || a >= known || b >= known || c >= known) continue;
    if (longestEdge(build, f).lengthMm > radius * (left === 3 ? EVEN_SHARE : FINE_SHARE))
      build.bisect(nextToBisect(build, f), 0.5);
  }
  return Array.from({ length: build.vertexCount() - known }, (_, i) => known + i);
}

/** The surface of a builder, valid until it cuts again. */
function current(build: SurfaceBuilder): { readonly surface: Surface; readonly labels: Uint8Array } {
  const { positions, triangles, twin, normals, parent, labels } = build.arrays(),
    faces = build.faceCount();
  const mesh = {
    positions: positions.subarray(0, 3 * build.vertexCount()),
    triangles: triangles.subarray(0, 3 * faces),
  };
  return {
    surface: {
      mesh,
      topology: { twin: twin.subarray(0, 3 * faces) },
      normals: perCorner(normals.subarray(0, 9 * faces)),
      parent: perFace(parent.subarray(0, faces)),
    },
    labels: labels.subarray(0, faces),
  };
}

/** Vertices of edges that have a facet on one side, or facets that face differently. */
function verticesAtEnds({ mesh: { triangles }, topology: { twin }, normals }: Surface): number[] {
  const found = new Set<number>();
  const bends = (g: number, h: number): boolean =>
    [0, 1, 2].reduce((dot, i) => dot + normals[3 * g + i] * normals[3 * h + i], 0) < ALONG;
  for (let h = 0; h < triangles.length; h++) {
    const next = nextCorner(h);
    if (twin[h] >= 0 && !bends(next, twin[h])) continue;
    found.add(triangles[h]).add(triangles[next]);
  }
  return [...found];
}

/** A builder that tells of each facet which one it was cut from. */
function withOrigins(inner: SurfaceBuilder): {
  readonly build: SurfaceBuilder;
  readonly origin: number[];
} {
  const origin = Array.from({ length: inner.faceCount() }, (_, f) => f);
  const bisect = (h: number, s: number): number => {
    const beyond = inner.arrays().twin[h];
    origin.push(origin[(h / 3) | 0]);
    if (beyond >= 0) origin.push(origin[(beyond / 3) | 0]);
    return inner.bisect(h, s);
  };
  return { build: { ...inner, bisect }, origin };
}
