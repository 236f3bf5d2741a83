import { boundsOf, type Bounds } from '../core/bounds.js';
import type { Finding } from '../core/findings.js';
import { facetCentre, placeOf, type Place } from './facet-geometry.js';
import { nextCorner } from './half-edge.js';
import type { Defect, Marks, MeshHistory } from './mesh-findings.js';

/** Where a defect can be seen. */
export interface DefectPlace {
  /** of its finding */
  readonly code: string;
  /** a point of it, mm */
  readonly centreMm: Place;
  readonly boundsMm: Bounds;
}

/** All places of the defects of a mesh, for a list and for a picture. */
export interface DefectPlaces {
  readonly places: readonly DefectPlace[];
  /** codes of defects that facets show, in the order of the findings */
  readonly codes: readonly string[];
  /** (F) 0 where a facet is sound, else 1 + which of the codes it shows */
  readonly kindOfFacet: Uint8Array;
}

/** Of one kind no more are listed. */
const MOST_PLACES = 200;

/** The defects as findings, each with the first of its places. */
export const defectFindings = (defects: readonly Defect[], history: MeshHistory): Finding[] =>
  defects.map(({ marks, ...told }) => ({ ...told, whereMm: firstPlace(marks, history) }));

function firstPlace(marks: Marks, history: MeshHistory): Place | null {
  if (marks.on === 'places') return marks.places[0] ?? null;
  const { mesh, shells } = history.oriented;
  const [id] = marks.ids;
  switch (marks.on) {
    case 'triangles':
      return middle(trianglePoints(history, id));
    case 'facets':
      return facetCentre(mesh, id);
    case 'shells':
      return facetCentre(mesh, shells.firstFace[id]);
    default:
      return middle(rowsAt(mesh.positions, verticesOf(marks.on, mesh.triangles, id)));
  }
}

/** Gathers all places; marks that share a vertex are one place. */
export function defectPlaces(defects: readonly Defect[], history: MeshHistory): DefectPlaces {
  const { mesh } = history.oriented;
  const shown = defects.flatMap(({ code, marks }) =>
    marks.on === 'places' || marks.on === 'triangles' ? [] : [{ code, facets: facetsAt(marks, history) }],
  );
  const kindOfFacet = new Uint8Array(mesh.triangles.length / 3);
  shown.forEach(({ facets }, kind) => {
    for (const f of facets) if (kindOfFacet[f] === 0) kindOfFacet[f] = kind + 1;
  });
  return {
    places: defects.flatMap((one) => placesOf(one, history)),
    codes: shown.map(({ code }) => code),
    kindOfFacet,
  };
}

function placesOf({ code, marks }: Defect, history: MeshHistory): DefectPlace[] {
  const place = (points: readonly Place[], centreMm = middle(points)): DefectPlace => ({
    code,
    centreMm,
    boundsMm: boundsOf(points.flat()),
  });
  if (marks.on === 'places') return marks.places.slice(0, MOST_PLACES).map((at) => place([at]));
  if (marks.on === 'triangles')
    return marks.ids.slice(0, MOST_PLACES).map((t) => place(trianglePoints(history, t)));
  const { positions, triangles } = history.oriented.mesh;
  const items: [typeof marks.on, readonly number[]] =
    marks.on === 'shells' ? ['facets', facetsAt(marks, history)] : [marks.on, marks.ids];
  return groups(items[1].map((id) => verticesOf(items[0], triangles, id)))
    .slice(0, MOST_PLACES)
    .map(({ first, all }) => ({
      code,
      centreMm: middle(rowsAt(positions, first)),
      boundsMm: boundsOf(positions, all),
    }));
}

function verticesOf(on: Marks['on'], triangles: Uint32Array, id: number): number[] {
  if (on === 'vertices') return [id];
  if (on === 'edges') return [triangles[id], triangles[nextCorner(id)]];
  return [triangles[3 * id], triangles[3 * id + 1], triangles[3 * id + 2]];
}

/** Facets that show marks on the mesh. */
function facetsAt(
  marks: Exclude<Marks, { on: 'places' }>,
  { oriented: { mesh, shells } }: MeshHistory,
): number[] {
  if (marks.on === 'facets') return [...new Set(marks.ids)];
  if (marks.on === 'edges') return [...new Set(marks.ids.map((h) => (h / 3) | 0))];
  const wanted = new Uint8Array(marks.on === 'shells' ? shells.count : mesh.positions.length / 3);
  for (const id of marks.ids) wanted[id] = 1;
  const facets: number[] = [];
  for (let f = 0; f < shells.shellOf.length; f++) {
    const isShown =
      marks.on === 'shells'
        ? wanted[shells.shellOf[f]] === 1
        : verticesOf('facets', mesh.triangles, f).some((v) => wanted[v] === 1);
    if (isShown) facets.push(f);
  }
  return facets;
}

/** Joins lists that have a number in common. */
function groups(lists: readonly (readonly number[])[]): { first: readonly number[]; all: number[] }[] {
  const root = new Map<number, number>();
  const find = (v: number): number => {
    let top = v;
    for (let up = root.get(top); up !== undefined && up !== top; up = root.get(top)) top = up;
    root.set(v, top);
    return top;
  };
  for (const list of lists) {
    const top = find(list[0]);
    for (const v of list) root.set(find(v), top);
  }
  const found = new Map<number, { first: readonly number[]; all: number[] }>();
  for (const list of lists) {
    const top = find(list[0]);
    const group = found.get(top);
    if (group) group.all.push(...list);
    else found.set(top, { first: list, all: [...list] });
  }
  return [...found.values()];
}

function trianglePoints({ corners, matrix: m }: MeshHistory, t: number): Place[] {
  return [0, 3, 6].map((k) => {
    const [x, y, z] = corners.subarray(9 * t + k, 9 * t + k + 3);
    const placed = (i: number): number => m[i] * x + m[4 + i] * y + m[8 + i] * z + m[12 + i];
    return [placed(0), placed(1), placed(2)];
  });
}

const rowsAt = (positions: Float64Array, vertices: readonly number[]): Place[] =>
  vertices.map((v) => placeOf(positions, v));

function middle(points: readonly Place[]): Place {
  const mean = (k: number): number => points.reduce((sum, point) => sum + point[k], 0) / points.length;
  return [mean(0), mean(1), mean(2)];
}
