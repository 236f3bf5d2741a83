import { checkLengths } from '../core/check-lengths.js';
import { boundsOf } from '../core/bounds.js';
import { listsByKey } from '../core/lists.js';
import { mapTo } from '../core/map-to.js';
import { Document, Primitive, WebIO, type Accessor as GltfAccessor, type Node } from '@gltf-transform/core';
import type { PerCorner, PerFace, PerVertex } from '../core/array-types.js';
import { CLASSES } from '../core/classes.js';
import { DEG_PER_RAD } from '../core/units.js';
import { doubleArea } from '../part/facet-geometry.js';
import type { Surface } from '../part/types.js';
import { CLASS_COLOURS, linearRgb } from './class-colours.js';
import { splitVertices } from './view-data.js';

/**
 * `_REACH_RADIUS` where no ball that was asked for is too large: above every cutter, so that comparing still
 * works.
 */
export const UNLIMITED_RADIUS_MM = 1e6;
/** `_REACH_RADIUS` where it was not computed. */
export const UNKNOWN_RADIUS_MM = -1;
/** `_SCALLOP` where neighbouring passes do not meet. */
export const UNLIMITED_SCALLOP_MM = 1e6;
/** `_SCALLOP` where no pass cuts. */
export const UNCUT_SCALLOP_MM = -1;
/** `_WALL_ANGLE` where it was not computed. */
const UNKNOWN_ANGLE_DEG = -1;

export interface ColouredSurface {
  readonly surface: Surface;
  /** (F) index into `CLASSES` */
  readonly classOfFace: PerFace<Uint8Array>;
  /** (3 F) rad, 0 to pi; NaN: not computed */
  readonly wallAngles: PerCorner<Float64Array>;
  /** (V) mm; Infinity: no limit; NaN: not computed */
  readonly reachRadii: PerVertex<Float64Array>;
  /** (F) ridge between neighbouring passes, mm; Infinity: they do not meet; NaN: no pass cuts there */
  readonly scallopOfFace: PerFace<Float64Array>;
}

/** Curves of one kind in the space of the surface, drawn as lines. */
export interface NamedCurves {
  /** of the primitive and its material: `border shallow-overlap` */
  readonly name: string;
  readonly curves: readonly Curve[];
  /** what they are for */
  readonly use?: string;
}

export interface Curve {
  /** (3 n) mm; the first point of a closed curve is not repeated */
  readonly points: Float64Array;
  readonly closed: boolean;
}

const EXTRAS = {
  _WALL_ANGLE: `degrees from the tool axis to the outward normal; ${UNKNOWN_ANGLE_DEG}: not computed`,
  _REACH_RADIUS:
    `largest ball-nose radius that reaches the point, mm; ${UNLIMITED_RADIUS_MM}: unlimited, ` +
    `${UNKNOWN_RADIUS_MM}: not computed`,
  _SCALLOP:
    'height of the ridge between neighbouring lines of waterline and raster, at their spacing on the ' +
    `surface there, mm; ${UNLIMITED_SCALLOP_MM}: passes do not meet, ${UNCUT_SCALLOP_MM}: no pass cuts there`,
  data: 'mm, Z along the tool axis; the node turns it to metres, Y up',
};

/**
 * GLB 2.0 of the part coloured by class: one primitive and one material per class that occurs, both named
 * after it.
 *
 * Vertices are shared inside a class only where the surface is smooth, so that neither colours nor edges
 * bleed. Border curves follow as a mesh of line primitives, one per name, each with a material of that name.
 *
 * @returns bytes of the file; the same input gives the same bytes
 * @throws {RangeError} if the array lengths do not agree, or a class is none of `CLASSES`
 */
export async function colouredGlb(
  input: ColouredSurface,
  name: string,
  borders: readonly NamedCurves[] = [],
): Promise<Uint8Array> {
  const { surface, classOfFace } = input;
  checkColours(input);
  const gltf = new Document();
  gltf.getRoot().getAsset().generator = 'scarp';
  const buffer = gltf.createBuffer();
  const accessor: Accessor = (array, size = 1) =>
    gltf
      .createAccessor()
      .setType(size === 1 ? 'SCALAR' : 'VEC3')
      .setArray(array)
      .setBuffer(buffer);
  const centre = middle(surface.mesh.positions);
  const mesh = gltf.createMesh(name).setExtras(EXTRAS);
  const ofClass = facesByClass(classOfFace);
  ofClass.forEach((list, index) => {
    if (list.length === 0) return;
    const part = collectPart(input, list, centre);
    mesh.addPrimitive(classPrimitive(gltf, accessor, part, index));
  });
  const placed = (what: string): Node =>
    gltf
      .createNode(what)
      .setScale([0.001, 0.001, 0.001])
      .setRotation([-Math.SQRT1_2, 0, 0, Math.SQRT1_2])
      .setTranslation([0.001 * centre[0], 0.001 * centre[2], -0.001 * centre[1]]);
  const scene = gltf.createScene(name).addChild(placed(name).setMesh(mesh));
  const drawn = borders.filter(({ curves }) => curves.some(({ points }) => points.length >= 6));
  if (drawn.length > 0) {
    const lines = gltf.createMesh('borders').setExtras({ data: EXTRAS.data });
    for (const one of drawn) lines.addPrimitive(linePrimitive(gltf, accessor, one, centre));
    scene.addChild(placed('borders').setMesh(lines));
  }
  gltf.getRoot().setDefaultScene(scene);
  return new WebIO().writeBinary(gltf);
}

function checkColours({
  surface: { mesh },
  classOfFace,
  scallopOfFace,
  wallAngles,
  reachRadii,
}: ColouredSurface): void {
  const faces = mesh.triangles.length / 3;
  checkLengths('colouredGlb', {
    classes: [classOfFace.length, faces],
    scallops: [scallopOfFace.length, faces],
    angles: [wallAngles.length, 3 * faces],
    radii: [reachRadii.length, mesh.positions.length / 3],
  });
  const wrong = classOfFace.findIndex((cls) => cls >= CLASSES.length);
  if (wrong >= 0) throw new RangeError(`colouredGlb: face ${wrong} has class ${classOfFace[wrong]}`);
}

function facesByClass(classOfFace: Uint8Array): Uint32Array[] {
  const { start, items } = listsByKey(classOfFace, CLASSES.length);
  return CLASSES.map((_, cls) => items.subarray(start[cls], start[cls + 1]));
}

/** Middle of the bounds: what is left fits float32 however far the part lies from the origin. */
function middle(positions: Float64Array): [number, number, number] {
  const { min, max } = boundsOf(positions);
  const half = (k: number): number => (positions.length === 0 ? 0 : (min[k] + max[k]) / 2);
  return [half(0), half(1), half(2)];
}

/** Facets of one class as they go into the file. */
type Part = ReturnType<typeof collectPart>;

/** Cosine of about 0.5 degrees: corners of one vertex whose normals differ less share one output vertex. */
const SAME_NORMAL = 0.99996;

function collectPart(input: ColouredSurface, list: Uint32Array, centre: readonly number[]) {
  const { surface, classOfFace, wallAngles, reachRadii } = input;
  const { mesh, normals } = surface;
  const { cornerOf, vertexOf } = splitVertices(surface, classOfFace, list, SAME_NORMAL);
  const used = cornerOf.length;
  const indices = new Uint32Array(3 * list.length);
  list.forEach((f, i) => indices.set(vertexOf.subarray(3 * f, 3 * f + 3), 3 * i));
  const part = {
    positions: new Float32Array(3 * used),
    normals: new Float32Array(3 * used),
    anglesDeg: new Float32Array(used),
    radiiMm: new Float32Array(used),
    scallopsMm: vertexScallops(input, list, indices, used),
    indices,
  };
  for (let out = 0; out < used; out++) {
    const c = cornerOf[out];
    const v = mesh.triangles[c];
    for (let k = 0; k < 3; k++) {
      part.positions[3 * out + k] = mesh.positions[3 * v + k] - centre[k];
      part.normals[3 * out + k] = normals[3 * c + k];
    }
    part.anglesDeg[out] = Number.isNaN(wallAngles[c]) ? UNKNOWN_ANGLE_DEG : wallAngles[c] * DEG_PER_RAD;
    part.radiiMm[out] = encodedRadiusMm(reachRadii[v]);
  }
  return part;
}

/**
 * Mean of the facets that meet in each output vertex, by area; those where passes do not meet win where they
 * are more.
 */
function vertexScallops(
  { surface: { mesh }, scallopOfFace }: ColouredSurface,
  list: Uint32Array,
  indices: Uint32Array,
  count: number,
): Float32Array<ArrayBuffer> {
  const sums = new Float64Array(count),
    finite = new Float64Array(count),
    endless = new Float64Array(count),
    n = new Float64Array(3);
  for (let i = 0; i < indices.length; i += 3) {
    const f = list[i / 3],
      height = scallopOfFace[f];
    if (Number.isNaN(height)) continue;
    const area = doubleArea(mesh, f, n);
    for (let k = i; k < i + 3; k++) {
      if (height === Infinity) {
        endless[indices[k]] += area;
      } else {
        sums[indices[k]] += area * height;
        finite[indices[k]] += area;
      }
    }
  }
  return mapTo(new Float32Array(sums.length), sums, (sum, out) => {
    if (endless[out] > finite[out]) return UNLIMITED_SCALLOP_MM;
    return finite[out] > 0 ? Math.min(UNLIMITED_SCALLOP_MM, sum / finite[out]) : UNCUT_SCALLOP_MM;
  });
}

function encodedRadiusMm(radiusMm: number): number {
  if (Number.isNaN(radiusMm)) return UNKNOWN_RADIUS_MM;
  return Math.min(radiusMm, UNLIMITED_RADIUS_MM);
}

type Accessor = (array: Float32Array<ArrayBuffer> | Uint32Array<ArrayBuffer>, size?: 1 | 3) => GltfAccessor;

function classPrimitive(gltf: Document, accessor: Accessor, part: Part, classIndex: number): Primitive {
  const name = CLASSES[classIndex];
  const material = gltf
    .createMaterial(name)
    .setBaseColorFactor([...linearRgb(CLASS_COLOURS[name]), 1])
    .setMetallicFactor(0)
    .setRoughnessFactor(0.85)
    .setDoubleSided(true);
  return gltf
    .createPrimitive()
    .setIndices(accessor(part.indices))
    .setAttribute('POSITION', accessor(part.positions, 3))
    .setAttribute('NORMAL', accessor(part.normals, 3))
    .setAttribute('_WALL_ANGLE', accessor(part.anglesDeg))
    .setAttribute('_REACH_RADIUS', accessor(part.radiiMm))
    .setAttribute('_SCALLOP', accessor(part.scallopsMm))
    .setMaterial(material)
    .setName(name);
}

/** All curves of one name as separate segments: closed and open ones go into one primitive. */
function linePrimitive(
  gltf: Document,
  accessor: Accessor,
  { name, curves }: NamedCurves,
  centre: readonly number[],
): Primitive {
  const total = curves.reduce((sum, { points }) => sum + points.length, 0);
  const positions = new Float32Array(total);
  const indices: number[] = [];
  let first = 0;
  for (const { points, closed } of curves) {
    const count = points.length / 3;
    for (let i = 0; i < points.length; i++) positions[3 * first + i] = points[i] - centre[i % 3];
    for (let i = 0; i + 1 < count; i++) indices.push(first + i, first + i + 1);
    if (closed && count > 2) indices.push(first + count - 1, first);
    first += count;
  }
  const material = gltf
    .createMaterial(name)
    .setBaseColorFactor([0.01, 0.01, 0.01, 1])
    .setMetallicFactor(0)
    .setRoughnessFactor(1);
  return gltf
    .createPrimitive()
    .setName(name)
    .setMode(Primitive.Mode.LINES)
    .setIndices(accessor(Uint32Array.from(indices)))
    .setAttribute('POSITION', accessor(positions, 3))
    .setMaterial(material);
}
