import { expect, test } from 'vitest';
import { enlargedProfile, reachesAllOf } from '../../src/cutter/nested-reach.js';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  profileHeight,
  taperedBallProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';

const CUTTERS: Record<string, CutterProfile> = {
  'ball 1': ballProfile(1),
  'ball 3': ballProfile(3),
  'flat 1': flatProfile(1),
  'flat 3': flatProfile(3),
  'bull 3 / 1': bullNoseProfile(3, 1),
  'bull 3 / 2': bullNoseProfile(3, 2),
  'bull 2 / 0.5': bullNoseProfile(2, 0.5),
};

/**
 * Independent: in a section through the axis, whether cutter b fills cutter a. At points of a's underside b
 * is put to touch them from inside, its axis at any of many places; it must stay in a, but for what the
 * distance of those places lets by.
 */
function fills(b: CutterProfile, a: CutterProfile): boolean {
  const staysIn = (axis: number, tip: number): boolean => {
    for (let k = -40; k <= 40; k++) {
      const x = axis + (b.radiusMm * k * (1 - 1e-9)) / 40;
      if (tip + profileHeight(b, Math.abs(x - axis)) < profileHeight(a, Math.abs(x)) - 0.03) return false;
    }
    return true;
  };
  const room = a.radiusMm - b.radiusMm;
  const axes = room < 0 ? [] : Array.from({ length: 801 }, (_, j) => (room * (j - 400)) / 400);
  return Array.from({ length: 25 }, (_, i) => (0.97 * a.radiusMm * i) / 24).every((d) =>
    axes.some(
      (axis) =>
        Math.abs(d - axis) <= b.radiusMm &&
        staysIn(axis, profileHeight(a, d) - profileHeight(b, Math.abs(d - axis))),
    ),
  );
}

test.each(Object.keys(CUTTERS).flatMap((a) => Object.keys(CUTTERS).map((b) => [b, a])))(
  '%s against %s: as filling it shows',
  (b, a) => {
    expect(reachesAllOf(CUTTERS[b], CUTTERS[a])).toBe(fills(CUTTERS[b], CUTTERS[a]));
  },
);

test('of tapered cutters nothing is claimed', () => {
  const tapered = taperedBallProfile(3, 1, 0.1);
  expect([reachesAllOf(ballProfile(0.5), tapered), reachesAllOf(tapered, ballProfile(3))]).toEqual([
    false,
    false,
  ]);
});

test.each(Object.keys(CUTTERS))(
  '%s reaches all that it would if taken larger, by 3 % in every measure',
  (name) => {
    const larger = enlargedProfile(CUTTERS[name], 0.03);
    expect(reachesAllOf(CUTTERS[name], larger)).toBe(true);
    expect(larger.radiusMm / CUTTERS[name].radiusMm).toBeCloseTo(1.03, 12);
    expect(larger.kind).toBe(CUTTERS[name].kind);
  },
);
