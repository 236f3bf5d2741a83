import {
  BufferGeometry,
  Float32BufferAttribute,
  Group,
  LatheGeometry,
  LineSegments,
  LineBasicMaterial,
  Mesh,
  MeshLambertMaterial,
  SphereGeometry,
  MeshBasicMaterial,
  Vector2,
  type Object3D,
} from 'three';

const STEPS = 12;

/**
 * A ball cutter, ball centre at the origin, Z up: half-clear, with rings so that its shape reads without
 * light.
 */
export function cutterModel(radiusMm: number, lengthMm: number): Group {
  const group = new Group();
  const profile: Vector2[] = [];
  for (let i = 0; i <= STEPS; i++) {
    const angle = (i / STEPS) * (Math.PI / 2);
    profile.push(new Vector2(radiusMm * Math.sin(angle), -radiusMm * Math.cos(angle)));
  }
  const top = Math.max(0.2 * radiusMm, lengthMm - radiusMm);
  profile.push(new Vector2(radiusMm, top), new Vector2(1e-6, top));
  const body = new LatheGeometry(profile, 40).rotateX(Math.PI / 2);
  group.add(
    new Mesh(
      body,
      new MeshLambertMaterial({ color: '#cc6677', transparent: true, opacity: 0.55, depthWrite: false }),
    ),
  );
  const lines: number[] = [];
  for (const z of [0, top]) pushRing(lines, radiusMm, z);
  for (const [x, y] of [
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
  ]) {
    lines.push(radiusMm * x, radiusMm * y, 0, radiusMm * x, radiusMm * y, top);
    for (let i = 1; i <= STEPS; i++) {
      for (const { x: r, y: z } of [profile[i - 1], profile[i]]) lines.push(r * x, r * y, z);
    }
  }
  group.add(lineSet(lines, '#5c0f22'));
  return group;
}

function pushRing(lines: number[], radius: number, z: number): void {
  for (let i = 0; i < 48; i++) {
    for (const at of [i, i + 1]) {
      const angle = (at / 48) * 2 * Math.PI;
      lines.push(radius * Math.cos(angle), radius * Math.sin(angle), z);
    }
  }
}

/** Separate lines through the given ends (6 N), mm. */
export function lineSet(
  ends: ArrayLike<number>,
  colour: string,
): LineSegments<BufferGeometry, LineBasicMaterial> {
  const geometry = new BufferGeometry().setAttribute(
    'position',
    new Float32BufferAttribute(Float32Array.from(ends), 3),
  );
  return new LineSegments(geometry, new LineBasicMaterial({ color: colour }));
}

/** A ball that marks a point, drawn over everything. */
export function pointMark(colour: string): Object3D {
  const mark = new Mesh(
    new SphereGeometry(1, 16, 12),
    new MeshBasicMaterial({ color: colour, depthTest: false, transparent: true }),
  );
  mark.renderOrder = 10;
  mark.visible = false;
  return mark;
}
