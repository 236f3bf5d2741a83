import { expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import {
  machineFindings,
  machineJsonSchema,
  PLACEHOLDER_MACHINE,
  readMachine,
} from '../../src/time/machine.js';

test('the placeholder is a valid file, and warns', () => {
  expect(readMachine(JSON.parse(JSON.stringify(PLACEHOLDER_MACHINE)), 'm.json')).toEqual(PLACEHOLDER_MACHINE);
  expect(machineFindings(PLACEHOLDER_MACHINE).map((f) => [f.code, f.severity])).toEqual([
    ['machine.placeholder', 'warning'],
  ]);
});

test("a shop's own machine does not warn", () => {
  const { placeholder: _, ...own } = PLACEHOLDER_MACHINE;
  expect(machineFindings(readMachine(own, 'm.json'))).toEqual([]);
});

test('refuses a missing, unknown or impossible figure by its name', () => {
  const { maxRpm: _, ...without } = PLACEHOLDER_MACHINE;
  expect(() => readMachine(without, 'm.json')).toThrow(/m\.json: maxRpm/);
  expect(() => readMachine({ ...PLACEHOLDER_MACHINE, maxRPM: 1 }, 'm.json')).toThrow(/maxRPM.*maxRpm/);
  expect(() => readMachine({ ...PLACEHOLDER_MACHINE, accelerationMmPerS2: 0 }, 'm.json')).toThrow(PartError);
  for (const change of [
    { maxRpm: 5e-324 },
    { hourlyRate: 1e308 },
    { setUpMinutes: 1e300 },
    { currency: '\u001b[31m' },
  ])
    expect(() => readMachine({ ...PLACEHOLDER_MACHINE, ...change }, 'm.json')).toThrow(PartError);
  expect(Object.keys(machineJsonSchema())).toContain('properties');
});
