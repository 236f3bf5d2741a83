import { expect, test } from 'vitest';
import {
  ballProfile,
  bullNoseProfile,
  contactTip,
  flatProfile,
  offsetProfile,
  profileHeight,
  taperedBallProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';
import { seededRandom } from '../reach/random.js';

const PROFILES: readonly (readonly [string, CutterProfile])[] = [
  ['ball R3', ballProfile(3)],
  ['flat R4', flatProfile(4)],
  ['bull-nose R5 RE1.5', bullNoseProfile(5, 1.5)],
  ['tapered ball R4 RE1 5°', taperedBallProfile(4, 1, (5 * Math.PI) / 180)],
  ['tapered ball R4 RE2 40°', taperedBallProfile(4, 2, (40 * Math.PI) / 180)],
];

/**
 * Lowest point of a disc of radius r (centre (c, h)) over d: circle equation, source: elementary geometry.
 */
const circleBelow = (c: number, h: number, r: number, d: number): number =>
  h - Math.sqrt(r * r - (d - c) ** 2);

test('heights by the circle equation, the flat and the cone', () => {
  for (const d of [0, 0.4, 1.9, 2.999, 3]) {
    expect(profileHeight(ballProfile(3), d)).toBeCloseTo(circleBelow(0, 3, 3, d), 12);
  }
  for (const d of [0, 2, 3.5]) expect(profileHeight(bullNoseProfile(5, 1.5), d)).toBe(0);
  for (const d of [3.6, 4.2, 5]) {
    expect(profileHeight(bullNoseProfile(5, 1.5), d)).toBeCloseTo(circleBelow(3.5, 1.5, 1.5, d), 12);
  }
  expect(profileHeight(flatProfile(4), 4)).toBe(0);
  // A cone of half-angle a touching a ball at height RE (apex at RE - RE / sin a): z = apex + d / tan a.
  const a = (5 * Math.PI) / 180;
  const tapered = taperedBallProfile(4, 1, a);
  for (const d of [1, 2, 4])
    expect(profileHeight(tapered, d)).toBeCloseTo(1 - 1 / Math.sin(a) + d / Math.tan(a), 11);
  for (const d of [0, 0.5, 0.99]) expect(profileHeight(tapered, d)).toBeCloseTo(circleBelow(0, 1, 1, d), 12);
  expect(profileHeight(ballProfile(1e3), 1e-6) / (1e-12 / 2e3)).toBeCloseTo(1, 9);
});

test.each(PROFILES)(
  '%s: convex, non-decreasing, continuous in height and slope, nothing beyond DC/2',
  (_, profile) => {
    const R = profile.radiusMm,
      step = R / 4000;
    let last = 0;
    for (let d = step; d < R - step; d += step) {
      const before = profileHeight(profile, d - step),
        here = profileHeight(profile, d);
      const rise = here - before;
      expect(rise).toBeGreaterThanOrEqual(last - 1e-12);
      last = rise;
    }
    expect(profileHeight(profile, R * (1 + 1e-9))).toBe(Infinity);
    expect(profileHeight(profile, NaN)).toBeNaN();
  },
);

/**
 * Tip height at which the cutter, turned about its axis in small steps, first touches a plane through the
 * origin.
 */
function tipOverPlane(profile: CutterProfile, n: readonly number[], x: number, y: number): number {
  let tip = -Infinity;
  for (let a = 0; a < 72; a++) {
    const turn = Math.atan2(n[1], n[0]) + Math.PI + (a * Math.PI) / 36;
    for (let r = 0; r <= 2000; r++) {
      const d = (profile.radiusMm * r) / 2000;
      const qx = x + d * Math.cos(turn),
        qy = y + d * Math.sin(turn);
      tip = Math.max(tip, -(n[0] * qx + n[1] * qy) / n[2] - profileHeight(profile, d));
    }
  }
  return tip;
}

test.each(PROFILES)('%s: contact on planes agrees with lowering the cutter point by point', (_, profile) => {
  for (const degrees of [0, 3, 30, 48, 52, 80, 84, 86]) {
    const theta = (degrees * Math.PI) / 180,
      turn = 0.7;
    const n = [Math.sin(theta) * Math.cos(turn), Math.sin(theta) * Math.sin(turn), Math.cos(theta)];
    const tip = contactTip(profile, n[0], n[1], n[2], new Float64Array(3));
    expect(tip[2] - tipOverPlane(profile, n, tip[0], tip[1])).toBeGreaterThanOrEqual(-1e-9);
    expect(tip[2]).toBeCloseTo(tipOverPlane(profile, n, tip[0], tip[1]), 2);
  }
});

test('contact: ball centre over the point along the normal; walls at DC/2; level floors under the axis', () => {
  const random = seededRandom(3);
  for (let k = 0; k < 50; k++) {
    const z = random(),
      turn = 7 * random(),
      s = Math.sqrt(1 - z * z);
    const n = [s * Math.cos(turn), s * Math.sin(turn), z];
    const tip = contactTip(ballProfile(2.5), n[0], n[1], n[2], new Float64Array(3));
    [0, 1, 2].forEach((c) => expect(tip[c]).toBeCloseTo(2.5 * n[c] - (c === 2 ? 2.5 : 0), 12));
  }
  for (const [, profile] of PROFILES) {
    expect([...contactTip(profile, 0, 0, 1, new Float64Array(3))]).toEqual([0, 0, -0]);
    const wall = contactTip(profile, 0, -1, 0, new Float64Array(3));
    expect(wall[1]).toBeCloseTo(-profile.radiusMm, 12);
    expect(wall[2]).toBeCloseTo(-profileHeight(profile, profile.radiusMm), 12);
    expect([...contactTip(profile, 0, -0.6, -0.8, new Float64Array(3))]).toEqual([...wall]);
  }
});

// Minkowski sum and difference with a ball of radius s (Serra 1982, from memory), sampled.
test.each(PROFILES)(
  '%s grown by s: every ball of radius s about it lies inside, and touches',
  (name, profile) => {
    const s = 0.7,
      grown = offsetProfile(profile, s);
    const end = name.startsWith('tapered') ? 0.9 : 1;
    let nearest = Infinity,
      deepest = Infinity;
    for (let r = 0; r <= 400; r++) {
      const d = (end * profile.radiusMm * r) / 400;
      for (let a = -90; a <= 90; a += 0.5) {
        const x = d + s * Math.cos((a * Math.PI) / 180),
          z = profileHeight(profile, d) + s * Math.sin((a * Math.PI) / 180);
        const inside =
          x > grown.radiusMm ? (x < grown.radiusMm + 1e-9 ? 0 : -1) : z + s - profileHeight(grown, x);
        deepest = Math.min(deepest, inside);
        if (a < -85 && a > -88) nearest = Math.min(nearest, inside);
      }
    }
    expect(deepest).toBeGreaterThan(-1e-6);
    expect(nearest).toBeLessThan(5e-3);
  },
);

test.each(PROFILES)('%s: grown by nothing it is the same', (_, profile) => {
  expect(offsetProfile(profile, 0)).toEqual(profile);
});

test('refusals', () => {
  for (const bad of [0, -1, NaN, Infinity]) {
    expect(() => ballProfile(bad)).toThrow(RangeError);
    expect(() => flatProfile(bad)).toThrow(RangeError);
    expect(() => bullNoseProfile(3, bad)).toThrow(RangeError);
    expect(() => bullNoseProfile(bad, 1)).toThrow(RangeError);
    expect(() => taperedBallProfile(3, 1, bad)).toThrow(RangeError);
    expect(() => taperedBallProfile(3, bad, 0.1)).toThrow(RangeError);
  }
  expect(() => bullNoseProfile(3, 3)).toThrow(RangeError);
  expect(() => taperedBallProfile(1, 2, 0.1)).toThrow(RangeError);
  expect(() => offsetProfile(ballProfile(1), -1)).toThrow(RangeError);
});

test('a normal whose sine comes out above 1 by rounding touches at the shoulder', () => {
  const tip = contactTip(ballProfile(10), 0, 1 + 2 ** -52, 1e-17, new Float64Array(3));
  expect([...tip]).toEqual([0, 10, -10]);
});
