import { expect } from 'vitest';
import type { Mesh, Topology } from '../../src/part/types.js';

/** What half-edge topology means: twins pair up, join the same two vertices, and run opposite ways. */
export function assertValidTopology(mesh: Mesh, topology: Topology): void {
  const { triangles } = mesh;
  const { twin } = topology;
  expect(twin.length).toBe(triangles.length);
  expect(triangles.length % 3).toBe(0);
  const end = (h: number): number => triangles[h - (h % 3) + ((h + 1) % 3)];
  const vertices = mesh.positions.length / 3;
  for (let h = 0; h < twin.length; h++) {
    if (triangles[h] >= vertices) throw new Error(`half-edge ${h}: vertex ${triangles[h]} of ${vertices}`);
    if (triangles[h] === end(h)) throw new Error(`half-edge ${h} has no length`);
    const t = twin[h];
    if (t === -1) continue;
    if (!(t >= 0 && t < twin.length)) throw new Error(`half-edge ${h}: twin ${t} of ${twin.length}`);
    if (twin[t] !== h) throw new Error(`half-edge ${h}: twin ${t} has twin ${twin[t]}`);
    if (triangles[t] !== end(h) || end(t) !== triangles[h])
      throw new Error(`half-edges ${h} and ${t} do not run opposite ways`);
  }
}
