import { cutterEntry } from './cutter-entry.js';
import { flatRadiusMm, type CutterProfile } from '../cutter/cutter-profile.js';
import {
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  STACK_DEPTH,
  type PartTree,
} from './part-tree.js';

/** Where a cutter of any shape cuts deepest into the part. */
export interface CutterContact {
  /** mm by which the cutter enters the part beyond what is allowed; <= 0: it does not */
  depth: number;
  /** contact on the part, mm */
  x: number;
  y: number;
  z: number;
  /**
   * unit direction in which the cutter leaves the contact, never downwards; zeros on the axis of its shaft
   */
  mx: number;
  my: number;
  mz: number;
  /** mm along that direction after which the contact is surely left */
  push: number;
  /** how many facets meet at the contact, as far as they were noted */
  facets: number;
}

/** Queries of one tree with one cutter; holds scratch, so one per thread. */
export interface CutterQuery {
  /**
   * Deepest entry of the cutter whose tip is (x, y, z). Entering a facet by up to `slack` does not count.
   *
   * @returns the same object each time
   */
  deepest(x: number, y: number, z: number, slack: number): CutterContact;
  /**
   * Half-space for the tip in which the cutter stays clear of the plane of facet `i` of the last contact.
   *
   * @param out (4) unit normal, and how far along it the tip must move from where it was asked about, mm
   * @returns false if the facet faces downwards or has no area
   */
  plane(i: number, out: Float64Array): boolean;
}

/** Depths and places that differ by less are the same, mm. */
const TIE_MM = 1e-6;
const MOST_TIES = 6;
/** An edge is searched until its deepest entry is known to this, mm. */
const EDGE_MM = 1e-7;
const EDGE_STEPS = 40;

/**
 * Branch and bound over the tree: exact up to 1e-7 mm. The entry never grows away from the axis and never
 * falls upwards (`cutterEntry`), so over a box it is greatest at the box's top beside the axis. Over a
 * facet's plane it is greatest at a point known in closed form; where that lies outside the facet, on one of
 * the edges, along which it is concave: the tangents at two points meet above the greatest value, which
 * brackets it.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function cutterQuery(tree: PartTree, profile: CutterProfile): CutterQuery {
  const { boxes, links, columns, corners, planes } = tree;
  const [ox, oy, oz] = tree.centre;
  const flat = flatRadiusMm(profile),
    corner = profile.cornerRadiusMm,
    radius = profile.radiusMm;
  const sinA = Math.sin(profile.taperHalfAngleRad),
    cosA = Math.cos(profile.taperHalfAngleRad);
  const { entryAt, support, planeDistance } = cutterEntry(profile);
  const stack = new Int32Array(STACK_DEPTH),
    bounds = new Float64Array(STACK_DEPTH);
  const ties = new Int32Array(MOST_TIES);
  const contact: CutterContact = {
    depth: 0,
    x: 0,
    y: 0,
    z: 0,
    mx: 0,
    my: 0,
    mz: 0,
    push: 0,
    facets: 0,
  };
  let tipX = 0,
    tipY = 0,
    tipZ = 0,
    allowed = 0;
  // Entry and a supergradient of it at the last point looked at; the deepest entry of the last facet.
  let e = 0,
    gx = 0,
    gy = 0,
    gz = 0;
  const found = { entry: 0, x: 0, y: 0, z: 0, gx: 0, gy: 0, gz: 0 };

  /** As `entryAt`, of a point relative to the tip, with its supergradient. */
  const look = (x: number, y: number, h: number): void => {
    const d = Math.sqrt(x * x + y * y);
    const rx = d > 0 ? x / d : 0,
      ry = d > 0 ? y / d : 0;
    const u = d - flat,
      v = h - corner;
    let inwards = 0;
    gz = 1;
    if (u <= 0) {
      e = h;
    } else if (u * sinA + v * cosA > 0) {
      e = corner - u * cosA + v * sinA;
      inwards = cosA;
      gz = sinA;
    } else {
      const length = Math.sqrt(u * u + v * v);
      e = corner - length;
      if (length > 0) {
        inwards = u / length;
        gz = -v / length;
      }
    }
    if (radius - d < e) {
      e = radius - d;
      inwards = 1;
      gz = 0;
    }
    gx = -inwards * rx;
    gy = -inwards * ry;
  };
  const keep = (x: number, y: number, h: number): void => {
    if (e <= found.entry) return;
    found.entry = e;
    found.x = x;
    found.y = y;
    found.z = h;
    found.gx = gx;
    found.gy = gy;
    found.gz = gz;
  };
  /** Deepest entry along the edge from a to b, relative to the tip, if above what was found. */
  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one search; its state stays locals, which no call per facet could hand over.
  const searchEdge = (ax: number, ay: number, az: number, bx: number, by: number, bz: number): void => {
    const ex = bx - ax,
      ey = by - ay,
      ez = bz - az;
    look(ax, ay, az);
    let lowE = e,
      lowX = gx,
      lowY = gy,
      lowZ = gz,
      lowSlope = gx * ex + gy * ey + gz * ez;
    if (lowSlope <= 0) {
      keep(ax, ay, az);
      return;
    }
    look(bx, by, bz);
    let highE = e,
      highX = gx,
      highY = gy,
      highZ = gz,
      highSlope = gx * ex + gy * ey + gz * ez;
    if (highSlope >= 0) {
      keep(bx, by, bz);
      return;
    }
    let low = 0,
      high = 1;
    for (let i = 0; i < EDGE_STEPS; i++) {
      const width = high - low;
      let s = low + (highE - lowE - highSlope * width) / (lowSlope - highSlope);
      const most = lowE + lowSlope * (s - low);
      if (most <= found.entry) return;
      s = Math.min(Math.max(s, low + 0.02 * width), high - 0.02 * width);
      const x = ax + s * ex,
        y = ay + s * ey,
        z = az + s * ez;
      look(x, y, z);
      const slope = gx * ex + gy * ey + gz * ez;
      if (slope === 0) {
        keep(x, y, z);
        return;
      }
      if (most - e <= EDGE_MM || i === EDGE_STEPS - 1) {
        // On a ridge of e no one-sided gradient is square to the edge, but one between both sides is.
        const share = lowSlope / (lowSlope - highSlope);
        gx = lowX + share * (highX - lowX);
        gy = lowY + share * (highY - lowY);
        gz = lowZ + share * (highZ - lowZ);
        keep(x, y, z);
        return;
      }
      if (slope > 0) {
        low = s;
        lowE = e;
        lowX = gx;
        lowY = gy;
        lowZ = gz;
        lowSlope = slope;
      } else {
        high = s;
        highE = e;
        highX = gx;
        highY = gy;
        highZ = gz;
        highSlope = slope;
      }
    }
  };
  /** Deepest entry of the cutter into facet t, if above `need`; found.entry stays `need` otherwise. */
  const searchFacet = (t: number, need: number): void => {
    const p = 4 * t,
      o = 9 * t;
    found.entry = need;
    const flip = planes[p + 2] < 0 ? -1 : 1;
    const nx = flip * planes[p],
      ny = flip * planes[p + 1],
      nz = flip * planes[p + 2];
    const sine = Math.sqrt(nx * nx + ny * ny);
    if (sine > 0 || nz > 0) {
      const above = flip * planes[p + 3] - nx * tipX - ny * tipY - nz * tipZ;
      if (above + support(sine, nz) <= need) return;
      if (nz > 1e-6) {
        const distance = planeDistance(sine, nz, above);
        const x = sine > 0 ? (-distance * nx) / sine : 0,
          y = sine > 0 ? (-distance * ny) / sine : 0;
        if (insidePlan(corners, o, x + tipX, y + tipY)) {
          const h = (above - nx * x - ny * y) / nz;
          e = entryAt(distance, h);
          // Along the plane's normal the cutter leaves by as much as it lies beyond the plane.
          const slope = e / (above + support(sine, nz));
          gx = slope * nx;
          gy = slope * ny;
          gz = slope * nz;
          keep(x, y, h);
          return;
        }
      }
    }
    const ax = corners[o] - tipX,
      ay = corners[o + 1] - tipY,
      az = corners[o + 2] - tipZ;
    const bx = corners[o + 3] - tipX,
      by = corners[o + 4] - tipY,
      bz = corners[o + 5] - tipZ;
    const cx = corners[o + 6] - tipX,
      cy = corners[o + 7] - tipY,
      cz = corners[o + 8] - tipZ;
    searchEdge(ax, ay, az, bx, by, bz);
    searchEdge(bx, by, bz, cx, cy, cz);
    searchEdge(cx, cy, cz, ax, ay, az);
  };
  const take = (t: number, depth: number): void => {
    const x = found.x + tipX + ox,
      y = found.y + tipY + oy,
      z = found.z + tipZ + oz;
    const off = Math.abs(x - contact.x) + Math.abs(y - contact.y) + Math.abs(z - contact.z);
    if (contact.facets > 0 && depth <= contact.depth + TIE_MM && off < 10 * TIE_MM) {
      if (contact.facets < MOST_TIES) ties[contact.facets++] = t;
      return;
    }
    if (depth <= contact.depth) return;
    const length = Math.sqrt(found.gx * found.gx + found.gy * found.gy + found.gz * found.gz);
    contact.depth = depth;
    contact.x = x;
    contact.y = y;
    contact.z = z;
    contact.mx = length > 0 ? found.gx / length : 0;
    contact.my = length > 0 ? found.gy / length : 0;
    contact.mz = length > 0 ? found.gz / length : 0;
    contact.push = length > 0 ? depth / length : Infinity;
    ties[0] = t;
    contact.facets = 1;
  };
  /** Greatest entry that anything in a node's box, or below the top of its column, can have. */
  const nodeBound = (node: number): number => {
    const dx = tipX < boxes[node] ? boxes[node] - tipX : tipX > boxes[node + 3] ? tipX - boxes[node + 3] : 0;
    const dy =
      tipY < boxes[node + 1] ? boxes[node + 1] - tipY : tipY > boxes[node + 4] ? tipY - boxes[node + 4] : 0;
    const inBox = entryAt(Math.sqrt(dx * dx + dy * dy), boxes[node + 5] - tipZ);
    if (columns[node + 3] === 0 || columns[node + 2] <= 0) return inBox;
    const nx = columns[node],
      ny = columns[node + 1],
      nz = columns[node + 2];
    const belowTop =
      columns[node + 3] - nx * tipX - ny * tipY - nz * tipZ + support(Math.sqrt(nx * nx + ny * ny), nz);
    return Math.min(inBox, belowTop);
  };

  const deepest = (x: number, y: number, z: number, slack: number): CutterContact => {
    tipX = x - ox;
    tipY = y - oy;
    tipZ = z - oz;
    allowed = slack;
    contact.depth = 0;
    contact.facets = 0;
    let top = 0;
    bounds[0] = nodeBound(0);
    if (bounds[0] > slack) stack[top++] = 0;
    while (top > 0) {
      const node = stack[--top];
      const known = contact.facets > 0 ? contact.depth - TIE_MM : 0;
      if (bounds[top] <= known + slack) continue;
      if (isLeaf(links, node)) {
        const start = leafStart(links, node),
          end = start + leafCount(links, node);
        for (let t = start; t < end; t++) {
          const need = slack + (contact.facets > 0 ? contact.depth - TIE_MM : 0);
          searchFacet(t, need);
          if (found.entry > need) take(t, found.entry - slack);
        }
        continue;
      }
      const left = leftChild(node),
        right = rightChild(links, node);
      const ofLeft = nodeBound(left),
        ofRight = nodeBound(right);
      const least = known + slack;
      const first = ofLeft >= ofRight;
      const far = first ? right : left,
        farBound = first ? ofRight : ofLeft;
      if (farBound > least) {
        stack[top] = far;
        bounds[top++] = farBound;
      }
      const near = first ? left : right,
        nearBound = first ? ofLeft : ofRight;
      if (nearBound > least) {
        stack[top] = near;
        bounds[top++] = nearBound;
      }
    }
    return contact;
  };
  const plane = (i: number, out: Float64Array): boolean => {
    const p = 4 * ties[i];
    const nx = planes[p],
      ny = planes[p + 1],
      nz = Math.max(0, planes[p + 2]);
    const sine = Math.sqrt(nx * nx + ny * ny);
    if (planes[p + 2] < -1e-6 || (sine === 0 && nz === 0)) return false;
    out[0] = nx;
    out[1] = ny;
    out[2] = nz;
    out[3] = planes[p + 3] - nx * tipX - ny * tipY - nz * tipZ + support(sine, nz) - allowed;
    return true;
  };
  return { deepest, plane };
}

/** Whether (x, y) lies over a triangle with area in plan. */
function insidePlan(t: Float32Array, o: number, x: number, y: number): boolean {
  const area = (t[o + 3] - t[o]) * (t[o + 7] - t[o + 1]) - (t[o + 4] - t[o + 1]) * (t[o + 6] - t[o]);
  for (let k = 0; k < 3; k++) {
    const i = o + 3 * k,
      j = o + 3 * ((k + 1) % 3);
    const turn = (t[j] - t[i]) * (y - t[i + 1]) - (t[j + 1] - t[i + 1]) * (x - t[i]);
    if (turn * area < 0) return false;
  }
  return true;
}
