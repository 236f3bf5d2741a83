/** Unit normal of triangle `f` of a soup; zero for a triangle without area. */
function normal(corners: Float64Array, f: number): [number, number, number] {
  const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(9 * f, 9 * f + 9);
  const n = [
    (by - ay) * (cz - az) - (bz - az) * (cy - ay),
    (bz - az) * (cx - ax) - (bx - ax) * (cz - az),
    (bx - ax) * (cy - ay) - (by - ay) * (cx - ax),
  ];
  const length = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
  return length > 0 ? [n[0] / length, n[1] / length, n[2] / length] : [0, 0, 0];
}

/**
 * Binary STL of a soup (9 T): 80 bytes of header, count, 50 bytes per triangle, little-endian, coordinates
 * rounded to float32.
 *
 * @param header ASCII, at most 80 characters; the rest is zero
 */
export function binaryStl(corners: Float64Array, header = 'binary STL, mm'): Uint8Array {
  const count = corners.length / 9;
  const bytes = new Uint8Array(84 + 50 * count);
  bytes.set(new TextEncoder().encode(header).subarray(0, 80));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, count, true);
  for (let f = 0; f < count; f++) {
    const at = 84 + 50 * f;
    normal(corners, f).forEach((x, i) => view.setFloat32(at + 4 * i, x, true));
    for (let i = 0; i < 9; i++) view.setFloat32(at + 12 + 4 * i, corners[9 * f + i], true);
  }
  return bytes;
}

/** ASCII STL of a soup (9 T), coordinates to nine significant digits (enough for any float32). */
export function asciiStl(corners: Float64Array, name = 'part', newline = '\n'): Uint8Array {
  const triple = (x: ArrayLike<number>): string => Array.from(x, (value) => value.toExponential(8)).join(' ');
  const lines = [`solid ${name}`];
  for (let f = 0; f < corners.length / 9; f++) {
    lines.push(`  facet normal ${triple(normal(corners, f))}`, '    outer loop');
    for (let k = 0; k < 3; k++) {
      const at = 9 * f + 3 * k;
      lines.push(`      vertex ${triple(corners.subarray(at, at + 3))}`);
    }
    lines.push('    endloop', '  endfacet');
  }
  lines.push(`endsolid ${name}`, '');
  return new TextEncoder().encode(lines.join(newline));
}
