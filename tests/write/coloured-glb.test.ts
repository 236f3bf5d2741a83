import { WebIO } from '@gltf-transform/core';
import { validateBytes } from 'gltf-validator';
import { expect, test } from 'vitest';
import { perCorner, perFace, perVertex } from '../../src/core/array-types.js';
import { CLASS_INDEX } from '../../src/core/classes.js';
import { linearRgb } from '../../src/write/class-colours.js';
import {
  colouredGlb,
  UNCUT_SCALLOP_MM,
  UNKNOWN_RADIUS_MM,
  UNLIMITED_RADIUS_MM,
  UNLIMITED_SCALLOP_MM,
  type ColouredSurface,
} from '../../src/write/coloured-glb.js';

/** Two level facets and two vertical ones along the edge x = 10, a long way from the origin. */
function bentSheet(): ColouredSurface {
  const [x, y, z] = [10000, -20000, 500];
  const positions = Float64Array.from(
    [
      [0, 0, 0],
      [10, 0, 0],
      [10, 5, 0],
      [0, 5, 0],
      [10, 0, -3],
      [10, 5, -3],
    ].flatMap(([a, b, c]) => [x + a, y + b, z + c]),
  );
  const triangles = Uint32Array.from([0, 1, 2, 0, 2, 3, 1, 4, 5, 1, 5, 2]);
  const normals = Float64Array.from(
    [0, 0, 1, 1].flatMap((wall) => (wall ? [1, 0, 0, 1, 0, 0, 1, 0, 0] : [0, 0, 1, 0, 0, 1, 0, 0, 1])),
  );
  return {
    surface: {
      mesh: { positions, triangles },
      topology: { twin: new Int32Array(12).fill(-1) },
      parent: perFace(Int32Array.from([0, 1, 2, 3])),
      normals: perCorner(normals),
    },
    classOfFace: perFace(
      Uint8Array.from([CLASS_INDEX.level, CLASS_INDEX.level, CLASS_INDEX.steep, CLASS_INDEX.steep]),
    ),
    wallAngles: perCorner(
      Float64Array.from([0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1].map((wall) => (wall * Math.PI) / 2)),
    ),
    reachRadii: perVertex(Float64Array.from([1.5, Infinity, NaN, 0, 2, 3])),
    // Facets of 25, 25, 7.5 and 7.5 mm².
    scallopOfFace: perFace(Float64Array.from([0.004, 0.008, Infinity, NaN])),
  };
}

async function readBack(bytes: Uint8Array) {
  const document = await new WebIO().readBinary(bytes);
  const [node] = document.getRoot().listNodes();
  const primitives = document.getRoot().listMeshes()[0].listPrimitives();
  return { node, primitives, extras: document.getRoot().listMeshes()[0].getExtras() };
}

// glTF 2.0 section 3.4: metres, +Y up, right-handed. So set-up (x, y, z) mm stands at (x, z, -y) / 1000.
test('after the node transform the part is in metres, Y up', async () => {
  const { node, primitives } = await readBack(await colouredGlb(bentSheet(), 'sheet'));
  const m = node.getWorldMatrix();
  const position = primitives[0].getAttribute('POSITION')?.getElement(1, []) ?? [];
  const world = [0, 1, 2].map(
    (row) => m[row] * position[0] + m[4 + row] * position[1] + m[8 + row] * position[2] + m[12 + row],
  );
  [10.01, 0.5, 20].forEach((expected, k) => expect(world[k]).toBeCloseTo(expected, 7));
});

test('one primitive per class, named, coloured, with its fields', async () => {
  const { primitives, extras } = await readBack(await colouredGlb(bentSheet(), 'sheet'));
  expect(primitives.map((one) => one.getMaterial()?.getName())).toEqual(['level', 'steep']);
  const steep = primitives[1];
  expect(steep.getMaterial()?.getBaseColorFactor().slice(0, 3)).toEqual(linearRgb('#332288'));
  expect(steep.getIndices()?.getCount()).toBe(6);
  expect([...(steep.getAttribute('_WALL_ANGLE')?.getArray() ?? [])]).toEqual([90, 90, 90, 90]);
  expect([...(steep.getAttribute('_REACH_RADIUS')?.getArray() ?? [])]).toEqual([
    UNLIMITED_RADIUS_MM,
    2,
    3,
    UNKNOWN_RADIUS_MM,
  ]);
  expect([...(steep.getAttribute('NORMAL')?.getArray() ?? [])].slice(0, 3)).toEqual([1, 0, 0]);
  // Vertices 0 and 2 of the level sheet lie on both facets, of equal area; of the wall, 4 and 5 lie on one
  // and on both.
  const scallops = primitives.map((one) => [...(one.getAttribute('_SCALLOP')?.getArray() ?? [])]);
  [0.006, 0.004, 0.006, 0.008].forEach((height, i) => expect(scallops[0][i]).toBeCloseTo(height, 8));
  expect(scallops[1].filter((height) => height === UNLIMITED_SCALLOP_MM)).toHaveLength(3);
  expect(scallops[1].filter((height) => height === UNCUT_SCALLOP_MM)).toHaveLength(1);
  expect(extras._SCALLOP).toContain('-1: no pass cuts there');
  expect(extras._WALL_ANGLE).toContain('degrees');
  expect(extras._REACH_RADIUS).toContain('1000000: unlimited');
});

// The validator of the standard's own authors.
test('the file is valid glTF 2.0, without so much as a hint', async () => {
  const { issues, info } = await validateBytes(await colouredGlb(bentSheet(), 'sheet'));
  expect(issues.messages).toEqual([]);
  expect(info).toMatchObject({ totalVertexCount: 8, totalTriangleCount: 4, drawCallCount: 2 });
});

test('a crease inside a class keeps both its normals', async () => {
  const sheet = bentSheet();
  const { primitives } = await readBack(
    await colouredGlb({ ...sheet, classOfFace: perFace(new Uint8Array(4)) }, 'sheet'),
  );
  expect(primitives).toHaveLength(1);
  expect(primitives[0].getAttribute('POSITION')?.getCount()).toBe(8);
});

test('the same input gives the same bytes; wrong lengths and classes are refused', async () => {
  const sheet = bentSheet();
  expect(await colouredGlb(sheet, 'a')).toEqual(await colouredGlb(bentSheet(), 'a'));
  await expect(colouredGlb({ ...sheet, reachRadii: perVertex(new Float64Array(5)) }, 'a')).rejects.toThrow(
    RangeError,
  );
  await expect(
    colouredGlb({ ...sheet, classOfFace: perFace(Uint8Array.of(0, 0, 0, 8)) }, 'a'),
  ).rejects.toThrow('face 3');
});

// IEC 61966-2-1: 0.04045 encodes 0.0031308; mid grey 188 is close to half the light; white is 1.
test('colours are linear', () => {
  expect(linearRgb('#FFFFFF')).toEqual([1, 1, 1]);
  expect(linearRgb('#0000BC')[2]).toBeCloseTo(0.503, 3);
  expect(linearRgb('#0A0B00')[0]).toBeCloseTo(10 / 255 / 12.92, 9);
  expect(() => linearRgb('red')).toThrow(RangeError);
});
