import { expect, test } from 'vitest';
import { bullNoseProfile, flatProfile, taperedBallProfile } from '../../src/cutter/cutter-profile.js';
import { cutterStands } from '../../src/reach/cutter-stands.js';

// Elementary geometry: a bull-nose is a disc of DC/2 - RE, carried upwards and thickened by RE.
test('distance to the nearest of several places of a bull-nose, DC 10 and RE 2, and what they clear', () => {
  const stands = cutterStands(bullNoseProfile(5, 2));
  expect([stands.gap(0, 0, 0), stands.clearedAt(0, 0)]).toEqual([Infinity, Infinity]);
  stands.add(100, 0, 0);
  stands.add(0, 0, 1);
  expect(stands.gap(1, 2, -3)).toBeCloseTo(4, 12);
  expect(stands.gap(9, 0, 30)).toBeCloseTo(4, 12);
  expect(stands.gap(0, 7, 0)).toBeCloseTo(Math.hypot(7 - 3, 3) - 2, 12);
  expect(stands.gap(0, 0, 2)).toBe(0);
  expect(stands.clearedAt(0, 2)).toBeCloseTo(1, 12);
  expect(stands.clearedAt(4, 0)).toBeCloseTo(1 + 2 - Math.sqrt(3), 12);
  expect(stands.clearedAt(20, 0)).toBe(Infinity);
});

test('sharp corners and shoulders are as far as the points they are', () => {
  const flat = cutterStands(flatProfile(3));
  flat.add(0, 0, 0);
  expect(flat.gap(7, 0, -3)).toBeCloseTo(5, 12);
  // The cone of 30 degrees widens from RE cos 30 to DC/2 over (DC/2 - RE cos 30) / tan 30.
  const tapered = cutterStands(taperedBallProfile(4, 1, Math.PI / 6));
  tapered.add(0, 0, 0);
  expect(tapered.gap(0, 0, -2)).toBeCloseTo(2, 12);
  expect(tapered.gap(9, 0, 40)).toBeCloseTo(5, 12);
});
