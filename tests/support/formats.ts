import { strToU8, zipSync, type ZipOptions } from 'fflate';

interface Indexed {
  /** x, y, z of each point, each once */
  readonly points: readonly (readonly number[])[];
  /** three points each */
  readonly triangles: readonly (readonly number[])[];
}

/** A soup (9 T) as points and triangles. */
export function indexed(corners: Float64Array): Indexed {
  const numbers = new Map<string, number>();
  const points: number[][] = [];
  const triangles: number[][] = [];
  for (let at = 0; at < corners.length; at += 3) {
    const point = [...corners.subarray(at, at + 3)];
    const key = point.join();
    const v = numbers.get(key) ?? points.push(point) - 1;
    numbers.set(key, v);
    if (at % 9 === 0) triangles.push([]);
    triangles[triangles.length - 1].push(v);
  }
  return { points, triangles };
}

const bytesOf = (lines: readonly string[]): Uint8Array => new TextEncoder().encode(`${lines.join('\n')}\n`);

/** OBJ, corners with texture and normal as many writers have them. */
export function objFile(corners: Float64Array): Uint8Array {
  const { points, triangles } = indexed(corners);
  return bytesOf([
    '# made by a test',
    'mtllib part.mtl',
    'o part',
    ...points.map((point) => `v ${point.join(' ')}`),
    'vn 0 0 1',
    'vt 0 0',
    'usemtl steel',
    ...triangles.map((triangle) => `f ${triangle.map((v) => `${v + 1}/1/1`).join(' ')}`),
  ]);
}

const plyHeader = (format: string, { points, triangles }: Indexed): string[] => [
  'ply',
  `format ${format} 1.0`,
  'comment made by a test',
  `element vertex ${points.length}`,
  'property uchar red',
  'property float x',
  'property float y',
  'property float z',
  `element face ${triangles.length}`,
  'property list uchar int vertex_indices',
  'property short group',
  'end_header',
];

export function plyTextFile(corners: Float64Array): Uint8Array {
  const part = indexed(corners);
  return bytesOf([
    ...plyHeader('ascii', part),
    ...part.points.map((point) => `200 ${point.join(' ')}`),
    ...part.triangles.map((triangle) => `3 ${triangle.join(' ')} 7`),
  ]);
}

export function plyBinaryFile(corners: Float64Array, isLittle: boolean): Uint8Array {
  const part = indexed(corners);
  const header = bytesOf(plyHeader(isLittle ? 'binary_little_endian' : 'binary_big_endian', part));
  const bytes = new Uint8Array(header.length + 13 * part.points.length + 15 * part.triangles.length);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (const point of part.points) {
    view.setUint8(at, 200);
    point.forEach((x, i) => view.setFloat32(at + 1 + 4 * i, x, isLittle));
    at += 13;
  }
  for (const triangle of part.triangles) {
    view.setUint8(at, 3);
    triangle.forEach((v, i) => view.setInt32(at + 1 + 4 * i, v, isLittle));
    view.setInt16(at + 13, 7, isLittle);
    at += 15;
  }
  return bytes;
}

export const CORE_3MF = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
export const PRODUCTION_3MF = 'http://schemas.microsoft.com/3dmanufacturing/production/2015/06';

/** The element `mesh` of a 3MF object. */
export function meshXml(corners: Float64Array): string {
  const { points, triangles } = indexed(corners);
  const vertex = ([x, y, z]: readonly number[]): string => `<vertex x="${x}" y="${y}" z="${z}"/>`;
  const triangle = ([a, b, c]: readonly number[]): string => `<triangle v1="${a}" v2="${b}" v3="${c}"/>`;
  return (
    `<mesh><vertices>${points.map(vertex).join('')}</vertices>` +
    `<triangles>${triangles.map(triangle).join('\n')}</triangles></mesh>`
  );
}

/** A model part of a 3MF: what stands in it, with attributes of its root. */
export const modelXml = (resources: string, build: string, attributes = ''): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<model xmlns="${CORE_3MF}" xmlns:p="${PRODUCTION_3MF}" ${attributes}>` +
  `<metadata name="Title">made by a test</metadata>` +
  `<resources>${resources}</resources><build>${build}</build></model>`;

/** A 3MF package of these model parts, the first of them the root. */
export function threeMfPackage(
  models: Readonly<Record<string, string>>,
  options: ZipOptions = {},
): Uint8Array {
  const [root] = Object.keys(models);
  const relations =
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">' +
    `<Relationship Id="r0" Target="/${root}" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>` +
    '</Relationships>';
  const parts = Object.entries(models).map(([name, xml]) => [name, strToU8(xml)]);
  return zipSync({ '_rels/.rels': strToU8(relations), ...Object.fromEntries(parts) }, options);
}

/** A 3MF with one object, in mm unless the root's attributes say otherwise. */
export const threeMfFile = (corners: Float64Array, attributes = 'unit="millimeter"'): Uint8Array =>
  threeMfPackage({
    '3D/3dmodel.model': modelXml(
      `<object id="1" type="model">${meshXml(corners)}</object>`,
      '<item objectid="1"/>',
      attributes,
    ),
  });
