import { expect, test } from 'vitest';
import { digits, figure } from '../../src/core/figures.js';
import type { Finding, Severity } from '../../src/core/findings.js';
import type { Plan } from '../../src/plan/plan.js';
import { checkText } from '../../src/write/check-text.js';
import { holesTable, holesTitle } from '../../src/write/holes.js';
import { passTable } from '../../src/write/report-tables.js';
import { findingList } from '../../src/write/report.js';
import { restTable } from '../../src/write/rest-table.js';
import { summaryText } from '../../src/write/summary.js';
import { textTable, wrapText } from '../../src/write/text-table.js';
import { wayUpLines, waysTable } from '../../src/write/ways-up.js';
import { samplePlan } from '../support/plan-sample.js';
import { reportRows } from '../support/read-report.js';

const plain = { paint: (_style: string, text: string) => text, written: null };
const written = { directory: 'lid-survey/', names: ['plan.json', 'part.glb'] };

test('answers in the order in which a programmer asks', () => {
  const text = summaryText(samplePlan(), { ...plain, written });
  const order = [
    'lid, left.stl',
    'Mesh: fit, with 1 warning',
    'Surface',
    'steep',
    'Split',
    'Cutters, in order of use',
    'Not milled in this set-up by this catalogue: 1 place, 3.3 mm²',
    'Time',
    'Files',
    'plan.json',
    'Cautions',
    'verify by simulation',
  ];
  const places = order.map((word) => text.indexOf(word));
  expect(
    places.every((place, i) => place >= 0 && (i === 0 || place > places[i - 1])),
    `${places}\n${text}`,
  ).toBe(true);
});

test('the figures are those of the plan', () => {
  const text = summaryText(samplePlan(), plain);
  expect(text).toContain('40 x 30 x 13.5 mm  12 triangles');
  expect(text).toMatch(/shallow +400\.5 mm² +9\.7 % +2 regions/);
  expect(text).toContain('45 deg, overlap 3 deg (equal scallops at 45 deg, fastest at 52 deg)');
  expect(text).toContain('passes of ball-6, over what it reaches; raster along 90 deg, steps in mm:');
  expect(text).toMatch(/waterline +from 45 deg +1750 mm² +down 0\.25 +7 m +3\.5 min/);
  expect(text).toMatch(/raster +to 48 deg/);
  expect(text).toMatch(/cutter +DC +RE +finishes, mm² +leaves, mm² +stickout, mm +min\n/);
  expect(text).toMatch(/2 +ball-1 +1 +0\.5 +146\.8 +3\.3 +7\.5, over LU +2\.3\n/);
  expect(text.replaceAll(/\s+/g, ' ')).toContain(
    'cutting alone, against the fastest split: at 45 deg 1.03 times as long, one raster for everything 2 times as long',
  );
  expect(text).toContain('tightest place: ball radius 0.4 mm, T1 at 5 6 7');
  expect(text).toContain('L0  at 1 2 3  3.3 mm²  12 down  no ball  EDM');
  expect(text).toContain('7 to 11.5 min, likely 9.3 min: finishing 8.9 min, tool changes 0.3 min');
  expect(text).toContain('with 30 min of set-up: 37 to 41.5 min, likely 39.3 min');
  // The catalogue of the sample has no wear, and the machine no currency.
  expect(text).toContain('cost 39 to 43.5, likely 41.3, at 60 an hour, set-up in it, no cutter wear');
  expect(text).toContain('Range: not calibrated: 25 % either way is assumed.');
});

test('where flat ends do it all there is no row of waterline or raster, and no split is faster', () => {
  const plan = samplePlan(),
    { waterline, raster } = plan.passes;
  const none = { areaMm2: 0, pathLengthMm: 0, minutes: 0 };
  const pass = {
    ...waterline,
    cutterId: 'flat-6',
    areaMm2: 800,
    spacingMm: 4.2,
    widestSpacingMm: 4.2,
    pathLengthMm: 190,
    minutes: 0.5,
  };
  const passes = { ...plan.passes, waterline: { ...waterline, ...none }, raster: { ...raster, ...none } };
  const text = summaryText({ ...plan, passes: { ...passes, floors: [pass] } }, plain);
  expect(text).toMatch(/\n {2}steps in mm:\n {2}floors +of flat-6 +800 mm² +over 4\.2 +0\.2 m +0\.5 min\n/);
  expect(text).not.toMatch(/passes of|waterline +from|fastest/);
});

test('one page also for a part with a thousand corners and findings', () => {
  const plan = samplePlan();
  const many = Array.from({ length: 1000 }, (_, id) => ({
    ...plan.notMilled[0],
    placeId: id,
    areaMm2: 999 - id,
  }));
  const findings = Array.from({ length: 1000 }, () => plan.findings[0]);
  const text = summaryText({ ...plan, findings, notMilled: many }, { ...plain, written });
  expect(text.split('\n').length).toBeLessThan(76);
  expect(text).toContain('and 996 more places: see plan.json');
  expect(text).toContain('999 mm²');
  expect(summaryText({ ...plan, notMilled: many.slice(0, 5) }, plain)).toContain(
    'and 1 more place: see plan.json',
  );
});

test('nothing left, nothing reached, nothing written', () => {
  const plan = samplePlan();
  const text = summaryText(
    { ...plan, ladder: [], notMilled: [], reach: { ...plan.reach, leftover: [], smallestRadiusMm: 0 } },
    plain,
  );
  expect(text).toContain('Not milled in this set-up by this catalogue: nothing');
  expect(text).toContain('none: no cutter of the catalogue reaches anything');
  expect(text).toContain('tightest place: no ball fits, as in a sharp corner or beside an overhang');
  expect(text).not.toContain('Files');
});

test('a mesh with errors is not fit; colour is given to heading and severity', () => {
  const plan = samplePlan();
  const error = {
    code: 'mesh.open',
    severity: 'error' as const,
    message: 'A hole.',
    count: 3,
    whereMm: null,
  };
  const text = checkText(
    {
      ...plan,
      mesh: { ...plan.mesh, closed: false, openEdges: 3 },
      findings: [plan.findings[0], error],
      fixed: null,
    },
    { paint: (style, word) => `<${style}>${word}</>`, files: { report: undefined, fixed: undefined } },
  );
  expect(text).toContain('<heading>Mesh: not fit as it is, 1 error (3 open edges, 1 shell)</>');
  expect(text.indexOf('<error>')).toBeLessThan(text.indexOf('<warning>'));
  expect(text).toMatch(/open edges +3\n/);
});

test('a check tells all of its findings: there is no other file to look into', () => {
  const { source, mesh } = samplePlan();
  const findings = Array.from({ length: 30 }, (_, i) => ({
    code: `mesh.x${i}`,
    severity: 'info' as const,
    message: `Finding ${i}.`,
    count: i + 1,
    whereMm: [i, 0, 0.25] as const,
  }));
  const files = { report: undefined, fixed: undefined };
  const text = checkText({ source, mesh, findings, fixed: null }, { paint: (_, word) => word, files });
  expect(text.match(/Finding \d+\. \((the first )?at \d+, 0, 0\.3\)/g)?.length).toBe(30);
  expect(text).not.toContain('plan.json');
});

test('what is no fault of the mesh does not count against it, and comes later', () => {
  const machine = {
    code: 'machine.placeholder',
    severity: 'warning' as const,
    message: 'A placeholder.',
    count: 1,
    whereMm: null,
  };
  const text = summaryText(samplePlan({ findings: [machine] }), plain);
  expect(text).toContain('Mesh: fit (closed, 1 shell)');
  expect(text.indexOf('A placeholder.')).toBeGreaterThan(text.indexOf('Time'));
});

test('the cost names its currency and the wear that is in it', () => {
  const plan = samplePlan();
  const withWear = (ids: readonly string[]) =>
    summaryText(
      {
        ...plan,
        time: { ...plan.time, currency: 'EUR' },
        setup: {
          ...plan.setup,
          cutters: plan.setup.cutters.map((one) =>
            ids.includes(one.id) ? { ...one, wearCostPerMinute: 0.2 } : one,
          ),
        },
      },
      plain,
    );
  expect(withWear(['ball-6', 'ball-1']).replaceAll(/\s+/g, ' ')).toContain(
    'cost 39 to 43.5 EUR, likely 41.3, at 60 an hour, set-up in it, cutter wear in it',
  );
  expect(withWear(['ball-6']).replaceAll(/\s+/g, ' ')).toContain('wear of 1 of 2 cutters in it');
});

test('80 columns whatever the names, more where the terminal has them; the report is named last', () => {
  const plan = samplePlan();
  const long = 'a very long name of a cutter, as a catalogue of a shop may well have it';
  const change = {
    ladder: plan.ladder.map((rung) => ({ ...rung, cutterId: long, finishedAreaMm2: 123456.7 })),
    setup: { ...plan.setup, overlapMm: 12.25 },
    reach: {
      ...plan.reach,
      leftover: [
        { ...plan.reach.leftover[0], areaMm2: 123456.7, centreMm: [-111.25, -222.75, -333.35] as const },
      ],
    },
  };
  const names = Array.from({ length: 30 }, (_, i) => `region-${i}-steep.stl`);
  const lines = (width?: number) =>
    summaryText(
      { ...plan, ...change },
      { ...plain, written: { directory: 'd/', names: [...names, 'report.html'] }, ...(width && { width }) },
    ).split('\n');
  expect(lines().filter((line) => line.length > 80)).toEqual([]);
  expect(lines(140).filter((line) => line.includes(long)).length).toBeGreaterThan(1);
  expect(lines().at(-2)).toBe('Report: d/report.html');
});

// Areas of slivers, 4.073e-7 mm² and the like, and rounding, 7e-15.
test.each([
  [7e-15, 1, '0'],
  [-7e-15, 1, '0'],
  [4.073e-7, 1, 'under 0.1'],
  [0.04, 1, 'under 0.1'],
  [0.06, 1, '0.1'],
  [1234.56, 1, '1234.6'],
])('%d with %d decimals is %s', (value, decimals, text) => {
  expect(figure(value, decimals)).toBe(text);
});

test.each([
  [4.073e-7, 'under 0.0001'],
  [0.00412, '0.00412'],
  [23456.7, '23500'],
])('%d in three digits is %s', (value, text) => {
  expect(digits(value)).toBe(text);
});

test('columns and wrapping', () => {
  expect(
    textTable(
      [
        ['a', '1'],
        ['bcd', '100'],
      ],
      ['left', 'right'],
    ),
  ).toEqual(['  a      1', '  bcd  100']);
  expect(wrapText('one two three', 9, ' ')).toEqual([' one two', ' three']);
  expect(wrapText('unbreakable x', 4, '')).toEqual(['unbreakable', 'x']);
});

test('what is wider than the terminal goes on below: no figure is cut off', () => {
  const rows = [
    ['region 13', 'at -30.3 -6.6 24.5', '401 mm²'],
    ['T1', 'at 1 2 3', '5 mm²'],
  ];
  const lines = textTable(rows, ['left', 'left', 'right'], 34);
  expect(lines.join('\n')).toBe(
    [
      '  region 13  at -30.3      401 mm²',
      '             -6.6 24.5',
      '  T1         at 1 2 3        5 mm²',
    ].join('\n'),
  );
  expect(textTable([['a'.repeat(20)]], ['left'], 12)).toEqual([`  ${'a'.repeat(10)}\n  ${'a'.repeat(10)}`]);
});

test('a hole that no cutter gets into is told so, and not as finished', () => {
  const plan = samplePlan(),
    [hole] = plan.holes;
  const tight: Plan = { ...plan, holes: [{ ...hole, finishMinutes: null }] };
  const text = summaryText(tight, plain);
  expect(text).toMatch(/^Round upright holes: 2$/m);
  expect(text).toMatch(/^ +2 x +5 mm +blind, 12 deep +counterbore 9 x 4 +no cutter fits$/m);
  expect(reportRows(holesTable(tight), 'Round upright holes')).toMatchObject([
    { made: 'no cutter fits', finishing: '–' },
  ]);
  expect(holesTable(tight)).not.toContain('Minutes are rough');
  // Of two kinds the one that is finished has its minutes.
  const both = { ...plan, holes: [hole, { ...hole, id: 1, finishMinutes: null }] };
  expect(holesTitle(both)).toBe('Round upright holes: 4, roughly 1.5 min if finished');
});

test('paper has every warning that the tile of the answers counts; of what is info only where there is room', () => {
  const told = (severity: Severity, count: number): Finding[] =>
    Array.from({ length: count }, (_, i) => ({
      code: 'x',
      severity,
      message: `${severity} ${i}`,
      count: 1,
      whereMm: null,
    }));
  const printed = (html: string): number => html.match(/<li class="\w+">/g)?.length ?? 0;
  const many = findingList([...told('info', 9), ...told('warning', 11), ...told('error', 2)]);
  expect(printed(many)).toBe(13);
  expect(many.match(/<li class="info more">/g)?.length).toBe(9);
  expect(many).toContain('9 more: see the report on the screen');
  const few = findingList([...told('info', 9), ...told('warning', 2)]);
  expect(printed(few)).toBe(6);
  expect(few).toContain('5 more: see the report on the screen');
});

test('a ridge without a height is where passes do not meet, and is told so', () => {
  const plan = samplePlan(),
    { waterline } = plan.passes;
  const parted = { ...plan, passes: { ...plan.passes, waterline: { ...waterline, maxScallopMm: null } } };
  const [first] = reportRows(passTable(parted), 'Passes of');
  expect(first).toMatchObject({ pass: 'waterline', 'highest scallop': 'passes do not meet' });
});

// The report tells the same figure in its hint under the ways up: tests/pipeline/one-truth.test.ts compares them.
test('what no way up reaches is told to a tenth', () => {
  const plan = samplePlan(),
    { waysUp } = plan;
  const [best, ...others] = waysUp.ways;
  const left = {
    ...waysUp,
    second: null,
    toCutMm2: 6020,
    ways: [{ ...best, cutMm2: 6020 - 0.134 }, ...others],
  };
  const text = wayUpLines({ waysUp: left }, 1000).join(' ');
  expect(text).toContain('0.1 mm² are left');
  expect(waysTable({ ...plan, waysUp: left })).toContain('0.1 mm² are left');
});

test('where what is left at most is known of some places alone, the table says why of the others not', () => {
  const plan = samplePlan(),
    [first, second] = plan.ladder,
    [known] = second.restRegions;
  const restOf = (...greatest: (number | null)[]): string =>
    restTable({
      ...plan,
      ladder: [
        first,
        { ...second, restRegions: greatest.map((greatestMm, id) => ({ ...known, id, greatestMm })) },
      ],
    });
  const why = 'on floors and walls that flat or bull-nose cutters have run over';
  expect(restOf(0.875, null)).toContain(why);
  expect(reportRows(restOf(0.875, null), 'Places that').map((row) => row['left there at most'])).toEqual([
    '0.88 mm',
    'not computed',
  ]);
  expect(restOf(0.875)).not.toContain(why);
  expect(restOf(null)).not.toContain('left there at most');
});
