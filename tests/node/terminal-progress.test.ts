import { expect, test } from 'vitest';
import { progressLine } from '../../src/node/terminal-progress.js';

test('first after half a second, then at most ten times a second, wiped at the end', () => {
  let now = 0;
  const written: string[] = [];
  const line = progressLine(
    (text) => written.push(text),
    () => now,
  );
  for (; now < 500; now += 10) line.progress('read', now / 1000);
  expect(written).toEqual([]);
  for (; now < 1500; now += 10) line.progress('reach', now / 1500);
  expect(written).toHaveLength(10);
  expect(written[0]).toBe('\rreach 33 %');
  line.clear();
  expect(written.at(-1)).toBe(`\r${' '.repeat('reach 99 %'.length)}\r`);
});

test('a shorter line wipes the longer one before it; nothing shown, nothing wiped', () => {
  let now = 0;
  const written: string[] = [];
  const line = progressLine(
    (text) => written.push(text),
    () => now,
  );
  line.clear();
  expect(written).toEqual([]);
  now = 1000;
  line.progress('a long stage', 1);
  now = 2000;
  line.progress('b', 0);
  expect(written[1]).toBe(`\r${'b 0 %'.padEnd('a long stage 100 %'.length)}`);
});
