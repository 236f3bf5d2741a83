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
const BESIDE_MM = 10 * TIE_MM;
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
    bounds = new Float64Array(STACK_DEPTH),
    sides = new Float64Array(2);
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
  const at = { tipX: 0.5, tipY: 0.5, tipZ: 0.5, allowed: 0.5 };
  // A point relative to the tip, entry and a supergradient of it there; the deepest entry of the last facet. What is
  // handed over in them is not boxed, as arguments with a fraction would be.
  const seen = { x: 0.5, y: 0.5, z: 0.5, e: 0.5, gx: 0.5, gy: 0.5, gz: 0.5 };
  const found = { entry: 0.5, x: 0.5, y: 0.5, z: 0.5, gx: 0.5, gy: 0.5, gz: 0.5 };

  /** As `entryAt`, of the point in `seen`, with its supergradient. */
  const look = (): void => {
    const { x, y, z: h } = seen;
    const d = Math.sqrt(x * x + y * y);
    const u = d - flat,
      v = h - corner;
    let e = h,
      inwards = 0,
      upwards = 1;
    if (u > 0) {
      if (u * sinA + v * cosA > 0) {
        e = corner - u * cosA + v * sinA;
        inwards = cosA;
        upwards = sinA;
      } else {
        const length = Math.sqrt(u * u + v * v);
        e = corner - length;
        if (length > 0) {
          inwards = u / length;
          upwards = -v / length;
        }
      }
    }
    if (radius - d < e) {
      e = radius - d;
      inwards = 1;
      upwards = 0;
    }
    seen.e = e;
    seen.gx = d > 0 ? (-inwards * x) / d : 0;
    seen.gy = d > 0 ? (-inwards * y) / d : 0;
    seen.gz = upwards;
  };
  const keep = (): void => {
    if (seen.e <= found.entry) return;
    found.entry = seen.e;
    found.x = seen.x;
    found.y = seen.y;
    found.z = seen.z;
    found.gx = seen.gx;
    found.gy = seen.gy;
    found.gz = seen.gz;
  };
  /**
   * Deepest entry along an edge, if above what was found: between the edge's point nearest to the axis and its upper
   * end, as far as it lies above that entry and within the radius less it.
   *
   * @param one offsets of its ends among the corners: numbers with a fraction would each be boxed
   */
  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one search; its state stays locals, which no call per facet could hand over.
  const searchEdge = (one: number, other: number): void => {
    const from = corners[one + 2] > corners[other + 2] ? other : one,
      to = one + other - from;
    const need = found.entry,
      bz = corners[to + 2] - at.tipZ,
      room = radius - need;
    if (bz <= need || room <= 0) return;
    const ax = corners[from] - at.tipX,
      ay = corners[from + 1] - at.tipY,
      az = corners[from + 2] - at.tipZ;
    const ex = corners[to] - at.tipX - ax,
      ey = corners[to + 1] - at.tipY - ay,
      ez = bz - az;
    const across = ex * ex + ey * ey,
      nearest = across > 0 ? -(ax * ex + ay * ey) / across : 1;
    let low = Math.min(1, Math.max(0, nearest)),
      high = 1;
    const off = (ax + low * ex) ** 2 + (ay + low * ey) ** 2;
    if (off >= room * room || entryAt(Math.sqrt(off), bz) <= need) return;
    if (az < need) low = Math.max(low, (need - az) / ez);
    if (across > 0) {
      const toLine = (ax + nearest * ex) ** 2 + (ay + nearest * ey) ** 2;
      high = Math.min(1, nearest + Math.sqrt((room * room - toLine) / across));
    }
    if (low > high) return;
    seen.x = ax + low * ex;
    seen.y = ay + low * ey;
    seen.z = az + low * ez;
    look();
    let lowE = seen.e,
      lowX = seen.gx,
      lowY = seen.gy,
      lowZ = seen.gz,
      lowSlope = lowX * ex + lowY * ey + lowZ * ez;
    if (lowSlope <= 0) {
      keep();
      return;
    }
    seen.x = ax + high * ex;
    seen.y = ay + high * ey;
    seen.z = az + high * ez;
    look();
    let highE = seen.e,
      highX = seen.gx,
      highY = seen.gy,
      highZ = seen.gz,
      highSlope = highX * ex + highY * ey + highZ * ez;
    if (highSlope >= 0) {
      keep();
      return;
    }
    for (let i = 0; ; i++) {
      const width = high - low;
      const meeting = (highE - lowE - highSlope * width) / (lowSlope - highSlope);
      const most = lowE + lowSlope * meeting;
      if (most <= need) return;
      const share = lowSlope / (lowSlope - highSlope);
      if (most - Math.max(lowE, highE) <= EDGE_MM || i === EDGE_STEPS) {
        const s = lowE > highE ? low : high;
        // Of the gradients on both sides neither need be square to the edge, but one between them is.
        seen.e = Math.max(lowE, highE);
        seen.gx = lowX + share * (highX - lowX);
        seen.gy = lowY + share * (highY - lowY);
        seen.gz = lowZ + share * (highZ - lowZ);
        seen.x = ax + s * ex;
        seen.y = ay + s * ey;
        seen.z = az + s * ez;
        keep();
        return;
      }
      // Where the entry bends evenly its slope runs to 0 linearly; a ridge is where the tangents meet.
      const part = Math.min(0.98, Math.max(0.02, i % 2 === 0 ? share : meeting / width));
      const s = low + part * width;
      seen.x = ax + s * ex;
      seen.y = ay + s * ey;
      seen.z = az + s * ez;
      look();
      const slope = seen.gx * ex + seen.gy * ey + seen.gz * ez;
      if (slope > 0) {
        low = s;
        lowE = seen.e;
        lowX = seen.gx;
        lowY = seen.gy;
        lowZ = seen.gz;
        lowSlope = slope;
      } else {
        high = s;
        highE = seen.e;
        highX = seen.gx;
        highY = seen.gy;
        highZ = seen.gz;
        highSlope = slope;
      }
    }
  };
  /** Deepest entry of the cutter into facet t, if above found.entry, which stays as it is otherwise. */
  const searchFacet = (t: number): void => {
    const p = 4 * t,
      o = 9 * t,
      need = found.entry;
    const flip = planes[p + 2] < 0 ? -1 : 1;
    const nx = flip * planes[p],
      ny = flip * planes[p + 1],
      nz = flip * planes[p + 2];
    const sine = Math.sqrt(nx * nx + ny * ny);
    if (sine > 0 || nz > 0) {
      const above = flip * planes[p + 3] - nx * at.tipX - ny * at.tipY - nz * at.tipZ;
      if (above + support(sine, nz) <= need) return;
      if (nz > 1e-6) {
        const distance = planeDistance(sine, nz, above);
        const x = sine > 0 ? (-distance * nx) / sine : 0,
          y = sine > 0 ? (-distance * ny) / sine : 0;
        if (insidePlan(corners, o, x + at.tipX, y + at.tipY)) {
          const h = (above - nx * x - ny * y) / nz;
          seen.x = x;
          seen.y = y;
          seen.z = h;
          seen.e = entryAt(distance, h);
          // Along the plane's normal the cutter leaves by as much as it lies beyond the plane.
          const slope = seen.e / (above + support(sine, nz));
          seen.gx = slope * nx;
          seen.gy = slope * ny;
          seen.gz = slope * nz;
          keep();
          return;
        }
      }
    }
    searchEdge(o, o + 3);
    searchEdge(o + 3, o + 6);
    searchEdge(o + 6, o);
  };
  const take = (t: number): void => {
    const depth = found.entry - at.allowed;
    const x = found.x + at.tipX + ox,
      y = found.y + at.tipY + oy,
      z = found.z + at.tipZ + oz;
    const off = Math.abs(x - contact.x) + Math.abs(y - contact.y) + Math.abs(z - contact.z);
    if (contact.facets > 0 && depth <= contact.depth + TIE_MM && off < BESIDE_MM) {
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
  /**
   * Greatest entry that anything in a node's box, or below the top of its column, can have.
   *
   * @param side where in `sides` it goes: a number with a fraction that is handed back is boxed
   */
  const boundNode = (node: number, side: number): void => {
    const dx =
      at.tipX < boxes[node]
        ? boxes[node] - at.tipX
        : at.tipX > boxes[node + 3]
          ? at.tipX - boxes[node + 3]
          : 0;
    const dy =
      at.tipY < boxes[node + 1]
        ? boxes[node + 1] - at.tipY
        : at.tipY > boxes[node + 4]
          ? at.tipY - boxes[node + 4]
          : 0;
    const inBox = entryAt(Math.sqrt(dx * dx + dy * dy), boxes[node + 5] - at.tipZ);
    sides[side] = inBox;
    if (columns[node + 3] === 0 || columns[node + 2] <= 0) return;
    const nx = columns[node],
      ny = columns[node + 1],
      nz = columns[node + 2];
    const belowTop =
      columns[node + 3] -
      nx * at.tipX -
      ny * at.tipY -
      nz * at.tipZ +
      support(Math.sqrt(nx * nx + ny * ny), nz);
    if (belowTop < inBox) sides[side] = belowTop;
  };

  /** Whether facets of a node may meet at the contact. */
  const holdsContact = (node: number): boolean => {
    const x = contact.x - ox,
      y = contact.y - oy,
      z = contact.z - oz;
    return (
      x >= boxes[node] - BESIDE_MM &&
      x <= boxes[node + 3] + BESIDE_MM &&
      y >= boxes[node + 1] - BESIDE_MM &&
      y <= boxes[node + 4] + BESIDE_MM &&
      z >= boxes[node + 2] - BESIDE_MM &&
      z <= boxes[node + 5] + BESIDE_MM
    );
  };

  // biome-ignore lint/complexity/noExcessiveLinesPerFunction: one search; its state stays locals.
  const deepest = (x: number, y: number, z: number, slack: number): CutterContact => {
    at.tipX = x - ox;
    at.tipY = y - oy;
    at.tipZ = z - oz;
    at.allowed = slack;
    contact.depth = 0;
    contact.facets = 0;
    let top = 0;
    boundNode(0, 0);
    bounds[0] = sides[0];
    if (bounds[0] > slack) stack[top++] = 0;
    while (top > 0) {
      const node = stack[--top];
      const known = contact.facets > 0 ? contact.depth - TIE_MM : 0;
      if (bounds[top] <= known + slack) continue;
      // Facets as deep as the contact count where they meet it; floors and walls have hundreds of others.
      let isBeside = contact.facets === 0 || holdsContact(node);
      if (!isBeside && bounds[top] <= contact.depth + slack) continue;
      if (isLeaf(links, node)) {
        const start = leafStart(links, node),
          end = start + leafCount(links, node);
        for (let t = start; t < end; t++) {
          const need = slack + (contact.facets > 0 ? contact.depth - (isBeside ? TIE_MM : 0) : 0);
          found.entry = need;
          searchFacet(t);
          if (found.entry <= need) continue;
          take(t);
          isBeside = true;
        }
        continue;
      }
      const left = leftChild(node),
        right = rightChild(links, node);
      boundNode(left, 0);
      boundNode(right, 1);
      const ofLeft = sides[0],
        ofRight = sides[1];
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
    out[3] = planes[p + 3] - nx * at.tipX - ny * at.tipY - nz * at.tipZ + support(sine, nz) - at.allowed;
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
