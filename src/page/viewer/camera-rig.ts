import { OrthographicCamera, PerspectiveCamera, Vector3, type Camera } from 'three';
import { RAD_PER_DEG } from '../../core/units.js';

/** Names of standard views and where from they look: azimuth from +X towards +Y, elevation, degrees. */
const STANDARD: Readonly<Record<string, readonly [number, number]>> = {
  corner: [-60, 35],
  top: [-90, 90],
  front: [-90, 0],
  right: [0, 0],
  back: [90, 0],
  left: [180, 0],
  below: [-90, -90],
};
const FIELD_OF_VIEW_DEG = 28;
/** Room left round what is fitted. */
const FIT_MARGIN = 1.16;
const HALF_VIEW = Math.tan((FIELD_OF_VIEW_DEG * RAD_PER_DEG) / 2);

/** From where a part is seen. */
export interface Pose {
  readonly target: Vector3;
  readonly fromDeg: readonly [number, number];
  readonly height: number;
  readonly usesWide: boolean;
  readonly partRadius: number;
}

/** Turns about a target, Z up; in parallel or perspective projection of the same extent at the target. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: what turns, moves and fits the camera shares where it stands.
export function cameraRig() {
  const parallel = new OrthographicCamera(),
    wide = new PerspectiveCamera(FIELD_OF_VIEW_DEG);
  const target = new Vector3();
  let azimuth = STANDARD.corner[0],
    elevation = STANDARD.corner[1];
  let height = 100,
    partRadius = 1e-3,
    width = 1,
    pixels = 1,
    usesWide = false;

  const towardsEye = (): Vector3 =>
    new Vector3(
      Math.cos(elevation * RAD_PER_DEG) * Math.cos(azimuth * RAD_PER_DEG),
      Math.cos(elevation * RAD_PER_DEG) * Math.sin(azimuth * RAD_PER_DEG),
      Math.sin(elevation * RAD_PER_DEG),
    );
  const camera = (): Camera => {
    const eye = towardsEye(),
      one = usesWide ? wide : parallel;
    // Straight up or down, "up" on the screen is +Y of the plan.
    const up = new Vector3(
      -Math.sin(elevation * RAD_PER_DEG) * Math.cos(azimuth * RAD_PER_DEG),
      -Math.sin(elevation * RAD_PER_DEG) * Math.sin(azimuth * RAD_PER_DEG),
      Math.cos(elevation * RAD_PER_DEG),
    );
    const distance = usesWide ? height / (2 * HALF_VIEW) : height + 4 * partRadius;
    one.up.copy(up);
    one.position.copy(target).addScaledVector(eye, distance);
    one.lookAt(target);
    const reach = 3 * partRadius + target.length();
    if (usesWide) {
      wide.aspect = width / pixels;
      wide.near = Math.max(distance / 500, distance - reach);
      wide.far = distance + reach;
      wide.updateProjectionMatrix();
    } else {
      const halfWidth = (height * width) / (2 * pixels);
      Object.assign(parallel, {
        left: -halfWidth,
        right: halfWidth,
        top: height / 2,
        bottom: -height / 2,
        near: 0,
        far: distance + reach,
      });
      parallel.updateProjectionMatrix();
    }
    one.updateMatrixWorld();
    return one;
  };
  return {
    camera,
    /** unit vector from the part to the eye */
    towardsEye,
    resize: (w: number, h: number): void => {
      width = Math.max(1, w);
      pixels = Math.max(1, h);
    },
    turn: (azimuthDeg: number, elevationDeg: number): void => {
      azimuth += azimuthDeg;
      elevation = Math.max(-90, Math.min(90, elevation + elevationDeg));
    },
    /** fractions of the view's height */
    move: (right: number, up: number): void => {
      const one = camera();
      const across = new Vector3().setFromMatrixColumn(one.matrixWorld, 0),
        along = new Vector3().setFromMatrixColumn(one.matrixWorld, 1);
      target.addScaledVector(across, right * height).addScaledVector(along, up * height);
    },
    zoom: (factor: number): void => {
      height = Math.max(partRadius / 2000, Math.min(partRadius * 20, height * factor));
    },
    fit: (min: readonly number[], max: readonly number[]): void => {
      const size = max.map((high, k) => high - min[k]);
      const radius = 0.5 * Math.sqrt(size.reduce((sum, x) => sum + x * x, 0));
      partRadius = Math.max(partRadius, radius);
      target.set(...([0, 1, 2].map((k) => (max[k] + min[k]) / 2) as [number, number, number]));
      const one = camera();
      const across = new Vector3().setFromMatrixColumn(one.matrixWorld, 0),
        along = new Vector3().setFromMatrixColumn(one.matrixWorld, 1);
      height =
        FIT_MARGIN *
        Math.max(
          partRadius / 250,
          ...boxCorners(size).map((corner) => {
            const half = Math.max(
              Math.abs(corner.dot(along)),
              (Math.abs(corner.dot(across)) * pixels) / width,
            );
            // In perspective what is nearer to the eye by so much needs a view that is higher where the target
            // is.
            return 2 * half + (usesWide ? 2 * HALF_VIEW * corner.dot(towardsEye()) : 0);
          }),
        );
    },
    look: (name: string): void => {
      [azimuth, elevation] = STANDARD[name] ?? STANDARD.corner;
    },
    /** degrees: from +X towards +Y, and up */
    lookFrom: (azimuthDeg: number, elevationDeg: number): void => {
      [azimuth, elevation] = [azimuthDeg, elevationDeg];
    },
    /** looks as another rig does that knows the same part */
    follow: (other: Pose): void => {
      target.copy(other.target);
      [azimuth, elevation] = other.fromDeg;
      ({ height, usesWide } = other);
      partRadius = Math.max(partRadius, other.partRadius);
    },
    pose: (): Pose => ({ target, fromDeg: [azimuth, elevation], height, usesWide, partRadius }),
    perspective: (on?: boolean): boolean => {
      usesWide = on ?? usesWide;
      return usesWide;
    },
    /** mm at the target that one pixel shows */
    mmPerPixel: (): number => height / pixels,
  };
}

/** Corners of a box of the given sides about the origin. */
const boxCorners = (size: readonly number[]): Vector3[] =>
  [-1, 1].flatMap((x) =>
    [-1, 1].flatMap((y) =>
      [-1, 1].map((z) => new Vector3((x * size[0]) / 2, (y * size[1]) / 2, (z * size[2]) / 2)),
    ),
  );
