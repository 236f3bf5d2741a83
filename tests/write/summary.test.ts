import { expect, test } from 'vitest';
import { checkText, summaryText } from '../../src/write/summary.js';
import { textTable, wrapText } from '../../src/write/text-table.js';
import { samplePlan } from '../support/plan-sample.js';

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
    'Corners that no cutter of the catalogue reaches: 1',
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
  expect(text).toMatch(/waterline +from 45 deg up +1750 mm² +stepdown 0\.25 mm +path 7 m +3\.5 min/);
  expect(text).toMatch(/raster +up to 48 deg, along 90 deg/);
  expect(text).toMatch(/2 +ball-1 .*leaves 3\.3 mm² +stickout 7\.5 mm, more than its LU +2\.3 min/);
  expect(text).toContain(
    'cutting at the fastest split: 3 % less than at 45 deg, 50 % less than one raster for everything',
  );
  expect(text).toContain('tightest place: ball radius 0.4 mm');
  expect(text).toContain('at 5 6 7  3.25 mm²  depth 5.5 mm  ball radius 0.4 mm');
  expect(text).toContain('7.01 to 11.5 min, likely 9.3 min: finishing 8.9 min, tool changes 0.3 min');
  expect(text).toContain('cost 39 to 43.5, likely 41.3, cutter wear and 30 min of set-up in it');
  expect(text).toContain('Range: not calibrated: 25 % either way is assumed.');
});

test('one page also for a part with a thousand corners and findings', () => {
  const plan = samplePlan();
  const many = Array.from({ length: 1000 }, (_, id) => ({ ...plan.reach.leftover[0], id, areaMm2: id }));
  const findings = Array.from({ length: 1000 }, () => plan.findings[0]);
  const text = summaryText(
    { ...plan, findings, reach: { ...plan.reach, leftover: many } },
    { ...plain, written },
  );
  expect(text.split('\n').length).toBeLessThan(66);
  expect(text).toContain('and 992 more corners: see plan.json');
  expect(text).toContain('999 mm²');
});

test('nothing left, nothing reached, nothing written', () => {
  const plan = samplePlan();
  const text = summaryText(
    { ...plan, ladder: [], reach: { ...plan.reach, leftover: [], smallestRadiusMm: 0 } },
    plain,
  );
  expect(text).toContain('catalogue reaches: none');
  expect(text).toContain('none: no cutter of the catalogue reaches anything');
  expect(text).toContain('tightest place: a sharp corner, no ball fits');
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
    { ...plan, mesh: { ...plan.mesh, closed: false, openEdges: 3 }, findings: [plan.findings[0], error] },
    (style, word) => `<${style}>${word}</>`,
  );
  expect(text).toContain('<heading>Mesh: not fit as it is, 1 error (3 open edges, 1 shell)</>');
  expect(text.indexOf('<error>')).toBeLessThan(text.indexOf('<warning>'));
  expect(text).toMatch(/open edges +3\n/);
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
