import { describe, expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { calibrate, percentile, readJobs } from '../../src/time/calibrate.js';

const csv = (...rows: (string | number)[][]) => rows.map((row) => row.join(',')).join('\n');
const pairs = (rows: readonly (readonly [number, number])[]) =>
  rows.map(([predictedMinutes, actualMinutes]) => ({ predictedMinutes, actualMinutes }));

describe('reading jobs', () => {
  const wanted = [
    { predictedMinutes: 10, actualMinutes: 12.5 },
    { predictedMinutes: 40, actualMinutes: 44 },
  ];
  test.each([
    ['commas', 'predicted,actual\n10,12.5\n40,44\n'],
    [
      'semicolons, decimal commas, Windows line ends, a byte order mark',
      '\uFEFFPredicted min;Actual min\r\n10;12,5\r\n40;44\r\n',
    ],
    ['tabs, other columns and order, quotes', 'job\tactual\tpredicted\nA\t"12.5"\t10\nB\t44\t"40"'],
    ['no header, a remark and a blank line between', '# own jobs\n10, 12.5\n40, 44\n\n'],
  ])('%s', (_, text) => expect(readJobs(text, 'jobs.csv')).toEqual({ jobs: wanted, refused: [] }));

  test('bad lines are refused by number, the rest is used', () => {
    const head = ['predicted', 'actual'];
    const text = csv(head, [10, 11], ['ten', 11], [10], [0, 5], [10, -3], ['1e3', 4], [20, 25]);
    const { jobs, refused } = readJobs(text, 'jobs.csv');
    expect(jobs.map(({ predictedMinutes }) => predictedMinutes)).toEqual([10, 20]);
    expect(refused).toEqual([
      { line: 3, reason: 'predicted "ten" is no number of minutes' },
      { line: 4, reason: 'actual is missing' },
      { line: 5, reason: 'predicted 0 is not above 0' },
      { line: 6, reason: 'actual "-3" is no number of minutes' },
      { line: 7, reason: 'predicted "1e3" is no number of minutes' },
    ]);
  });

  test('a header without the columns is the file’s fault', () => {
    expect(() => readJobs('name,actual\nA,1', 'jobs.csv')).toThrow(/jobs\.csv.*predicted/);
  });
});

describe('fit', () => {
  // Definition of the median and of straight-line percentiles (type 7): by hand for 1, 2 .. 11 tenths.
  test('median of the ratios, 10th to 90th percentile about it', () => {
    const jobs = pairs(Array.from({ length: 11 }, (_, i) => [100, 100 + 10 * i] as const));
    const { timeFactor, timeSpread, findings } = calibrate(jobs, [], 'jobs.csv');
    expect(timeFactor).toBeCloseTo(1.5, 12);
    expect(timeSpread.low).toBeCloseTo(1.1 / 1.5, 12);
    expect(timeSpread.high).toBeCloseTo(1.9 / 1.5, 12);
    expect(findings).toEqual([]);
  });
  test('percentiles between two values', () => {
    expect(percentile([1, 2, 4], 0.5)).toBe(2);
    expect(percentile([1, 2, 4, 8], 0.9)).toBeCloseTo(4 + 0.7 * 4, 12);
    expect(percentile([7], 0.1)).toBe(7);
  });
  test('gross errors in under half of the jobs hardly move it', () => {
    const clean = Array.from({ length: 12 }, (_, i) => [10 * (i + 1), 12 * (i + 1)] as const);
    const wrong = Array.from({ length: 9 }, (_, i) => [10, 500 + i] as const);
    expect(calibrate(pairs([...clean, ...wrong]), [], 'x').timeFactor).toBeCloseTo(1.2, 12);
  });
  test('few jobs and refused lines are told; too few are refused', () => {
    const refused = [{ line: 4, reason: 'actual is missing' }];
    const { findings } = calibrate(
      pairs([
        [10, 11],
        [10, 12],
        [10, 13],
      ]),
      refused,
      'jobs.csv',
    );
    expect(findings.map(({ code }) => code)).toEqual(['calibrate.refused-lines', 'calibrate.few-jobs']);
    expect(findings[0].message).toContain('line 4: actual is missing');
    expect(() => calibrate(pairs([[10, 11]]), refused, 'jobs.csv')).toThrow(/line 4/);
    expect(() => calibrate([], [], 'jobs.csv')).toThrow(PartError);
  });
});
