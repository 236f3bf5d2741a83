import { beforeAll, expect, test } from 'vitest';
import { resolveSetup } from '../../src/resolve-setup.js';
import { checkPart, type Check } from '../../src/survey/check-part.js';
import { checkText } from '../../src/write/check-text.js';
import { toJsonText } from '../../src/write/json.js';
import * as damage from '../support/damage.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const NAME = '<img src=x onerror=alert(1)>"&\'.stl';
const ball = shapes.icosphere(10, 2);
const broken = shapes.joined(
  damage.reversed(damage.punched(ball, [40, 205]), [100]),
  shapes.moved(shapes.box(3, 3, 3), [9, -1, -1]),
);
let check: Check, html: string;

beforeAll(async () => {
  check = await checkPart(binaryStl(broken), NAME, resolveSetup(undefined), {}, { report: true });
  html = check.report ?? '';
});

test('nothing of a file name becomes markup or script', () => {
  expect(html).not.toContain('<img src=x');
  expect(html).toContain('&lt;img src=x onerror=alert(1)&gt;');
  expect(html).toMatch(/Content-Security-Policy" content="default-src 'none'; script-src 'sha256-/);
  expect(html).toContain('<title>&lt;img');
});

test('every finding and every place is there, and text, report and JSON tell the same', () => {
  const text = checkText(check, {
    paint: (_, word) => word,
    width: 1000,
    files: { report: undefined, fixed: undefined },
  });
  const data: Check = JSON.parse(toJsonText(check));
  expect(data.findings.map(({ code }) => code)).toEqual([
    'mesh.flipped',
    'mesh.open-edges',
    'mesh.several-shells',
    'mesh.unclosed-shells',
    'mesh.self-intersections',
    'mesh.overlapping-shells',
  ]);
  for (const { message, count } of data.findings) {
    expect(text).toContain(message);
    expect(html.replaceAll(/<\/?span[^>]*>/g, '')).toContain(message.replaceAll('"', '&quot;'));
    expect(Number(/\d+/.exec(message)?.[0])).toBe(count);
  }
  expect(data.places.length).toBeGreaterThanOrEqual(6);
  data.places.forEach((_, i) => {
    expect(html).toContain(`data-place="P${i + 1}"`);
  });
  expect(html).not.toContain(`data-place="P${data.places.length + 1}"`);
  // Places and legend say it in words, not by the name of the finding.
  for (const words of ['facets turned', 'facets through each other', 'shells through each other']) {
    expect(html).toContain(`<td>${words}</td>`);
    expect(html).toContain(`"name":"${words}"`);
  }
  expect(text).toContain(`(${check.mesh.openEdges} open edges, ${check.mesh.shells} shells)`);
  expect(html).toContain(`(${check.mesh.openEdges} open edges, ${check.mesh.shells} shells)`);
});

test('a place lies on its defect: the box that cuts the ball', () => {
  const crossing = check.places.filter(({ code }) => code === 'mesh.self-intersections');
  expect(crossing.length).toBeGreaterThan(0);
  // The part stands on its lowest point: 10 mm up.
  for (const { centreMm } of crossing) expect(Math.abs(centreMm[0] - 9.5)).toBeLessThan(2.5);
});

test('the report is only made if asked for', async () => {
  const plain = await checkPart(binaryStl(ball), 'ball.stl', resolveSetup(undefined), {});
  expect(plain).toMatchObject({ report: null, fixed: null, findings: [], places: [] });
});
