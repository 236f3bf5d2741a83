import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { validateBytes } from 'gltf-validator';
import { beforeAll, describe, expect, test } from 'vitest';
import { CLASSES } from '../../src/core/classes.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import type { Plan } from '../../src/plan/plan.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { evenOddArea, type Polygon } from '../support/check-rings.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

type Survey = Awaited<ReturnType<typeof surveyPart>>;

/** Two cutters rather than all the default ones: what is tried here does not depend on how many there are. */
const CUTTERS = DEFAULT_CATALOGUE.filter(({ id }) => id === 'ball-4' || id === 'ball-8');

const model = async (name: string): Promise<Survey> =>
  surveyPart(
    readFileSync(new URL(`../../models/${name}`, import.meta.url)),
    name,
    {
      ...SETUP_DEFAULTS,
      radiiMm: [2],
      cutters: CUTTERS,
    },
    {},
  );
const shape = async (corners: Float64Array): Promise<Survey> =>
  surveyPart(
    binaryStl(shapes.turned(corners, 13.7)),
    'shape.stl',
    {
      ...SETUP_DEFAULTS,
      unit: 'mm',
      radiiMm: [2],
      cutters: CUTTERS,
    },
    {},
  );

const roundPocket = (): Promise<Survey> => shape(shapes.roundPocket({ segments: 48, filletFacets: 6 }));
const PARTS: Readonly<Record<string, () => Promise<Survey>>> = {
  'clip-insert.stl': () => model('clip-insert.stl'),
  'round pocket': roundPocket,
  'T-slot': () => shape(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 12 })),
  'box pocket': () => shape(shapes.boxPocket({ width: 30, length: 20, depth: 10 })),
};
/** Each is surveyed once, whichever tests look at it. */
const surveys = new Map<string, Promise<Survey>>();
function surveyOf(name: string): Promise<Survey> {
  const found = surveys.get(name) ?? PARTS[name]();
  surveys.set(name, found);
  return found;
}

const textOf = ({ files }: Survey, name: string): string => {
  const content = files.get(name);
  if (typeof content !== 'string') throw new TypeError(`${name}: no text`);
  return content;
};

interface Node {
  [tag: string]: string | Node | Node[] | undefined;
}
const listed = ['g', 'path', 'text', 'rect', 'pattern'];
function parseSvg(svg: string): Node {
  expect(XMLValidator.validate(svg)).toBe(true);
  const parsed = new XMLParser({ ignoreAttributes: false, isArray: (tag) => listed.includes(tag) }).parse(
    svg,
  ) as { svg: Node };
  return parsed.svg;
}
const nodes = (value: string | Node | Node[] | undefined): Node[] => (Array.isArray(value) ? value : []);

/** Rings of path data made of M, L and Z only, every one closed; y turned up again. */
function ringsOf(path: Node): Polygon[] {
  const data = String(path['@_d']);
  expect(data.endsWith('Z')).toBe(true);
  return data
    .split('Z')
    .slice(0, -1)
    .map((ring) => {
      expect(ring).toMatch(/^M-?[\d.]+ -?[\d.]+(L-?[\d.]+ -?[\d.]+){2,}$/);
      return ring
        .slice(1)
        .split('L')
        .map((pair) => pair.split(' ').map(Number))
        .map(([x, y]) => [x, -y] as const);
    });
}

/**
 * Reads a table as RFC 4180 says: CRLF ends a record, quotes may hold commas, line ends and doubled quotes.
 */
function readCsv(text: string): string[][] {
  const rows: string[][] = [[]];
  let field = '',
    quoted = false;
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (quoted && c === '"' && text[i + 1] === '"') {
      field += '"';
      i++;
    } else if (c === '"') quoted = !quoted;
    else if (!quoted && c === ',') {
      rows[rows.length - 1].push(field);
      field = '';
    } else if (!quoted && c === '\r' && text[i + 1] === '\n') {
      rows[rows.length - 1].push(field);
      field = '';
      rows.push([]);
      i++;
    } else if (!quoted && (c === '\r' || c === '\n'))
      throw new Error(`line end without its other half at ${i}`);
    else field += c;
  }
  expect(quoted).toBe(false);
  if (rows[rows.length - 1].length === 0 && field === '') rows.pop();
  return rows;
}

const schema = JSON.parse(
  readFileSync(new URL('../../dist/schema/plan-1.schema.json', import.meta.url), 'utf8'),
) as object;
const validatePlan = new Ajv2020({ strictTuples: false, allErrors: true }).compile(schema);

describe.each(Object.keys(PARTS))('%s', (name) => {
  let survey: Survey;
  let plan: Plan;
  beforeAll(async () => {
    survey = await surveyOf(name);
    plan = JSON.parse(textOf(survey, 'plan.json')) as Plan;
  });

  test('plan.json is valid by the shipped schema and has no number that is none', () => {
    expect(validatePlan(plan), JSON.stringify(validatePlan.errors?.slice(0, 3))).toBe(true);
    expect(textOf(survey, 'plan.json')).not.toMatch(/NaN|Infinity|undefined/);
  });

  test('the classes add up to the mesh, the regions to their class', () => {
    const total = CLASSES.reduce((sum, cls) => sum + plan.classes[cls].areaMm2, 0);
    expect(Math.abs(total / plan.mesh.areaMm2 - 1)).toBeLessThan(1e-9);
    for (const cls of CLASSES) {
      const own = plan.regions.filter((region) => region.class === cls);
      expect(own.length).toBe(plan.classes[cls].regions);
      expect(
        Math.abs(own.reduce((sum, { areaMm2 }) => sum + areaMm2, 0) - plan.classes[cls].areaMm2),
      ).toBeLessThanOrEqual(1e-6 * plan.classes[cls].areaMm2 + 1e-9);
    }
  });

  // planAreaMm2 counts surface above surface twice, which rings in plan cannot: classes that overlap
  // themselves are those under an overhang, and are compared only where the part has none.
  test('the written paths close and enclose planAreaMm2 of each class within 0.1 %', () => {
    const svg = parseSvg(textOf(survey, 'outlines.svg'));
    const upright = plan.classes.undercut.areaMm2 === 0;
    let compared = 0;
    for (const cls of CLASSES) {
      const group = nodes(svg.g).find((g) => g['@_id'] === `class-${cls}`);
      const area = nodes(group?.path).reduce((sum, path) => sum + Math.abs(evenOddArea(ringsOf(path))), 0);
      const { planAreaMm2 } = plan.classes[cls];
      if (planAreaMm2 < 1 || (!upright && cls !== 'level' && cls !== 'shallow' && cls !== 'overlap'))
        continue;
      compared++;
      expect(Math.abs(area - planAreaMm2), `${cls}: ${area}, plan ${planAreaMm2}`).toBeLessThanOrEqual(
        0.001 * planAreaMm2,
      );
    }
    expect(compared).toBeGreaterThan(0);
  });

  // SVG 2: with width and height in mm equal to the viewBox's, one unit is one millimetre.
  test('the drawing is true to size and holds the part', () => {
    const svg = parseSvg(textOf(survey, 'outlines.svg'));
    const [left, top, width, height] = String(svg['@_viewBox']).split(' ').map(Number);
    expect([svg['@_width'], svg['@_height']]).toEqual([`${width}mm`, `${height}mm`]);
    const { min, max } = plan.mesh.boundsMm;
    expect(left).toBeLessThan(min[0]);
    expect(left + width).toBeGreaterThan(max[0]);
    expect(top).toBeLessThan(-max[1]);
    expect(top + height).toBeGreaterThan(-min[1]);
    const groups = nodes(svg.g).filter((one) => String(one['@_id']).startsWith('class-'));
    expect(groups.length).toBeGreaterThan(1);
    for (const g of groups) {
      const points = nodes(g.path).flatMap((path) => ringsOf(path).flat());
      expect(points.length).toBeGreaterThan(2);
      for (const [x, y] of points) {
        expect(x >= min[0] - 0.05 && x <= max[0] + 0.05 && y >= min[1] - 0.05 && y <= max[1] + 0.05).toBe(
          true,
        );
      }
    }
  });

  test("the coloured part passes the validator of glTF's authors", async () => {
    const glb = survey.files.get('part.glb');
    if (!(glb instanceof Uint8Array)) throw new TypeError('part.glb: no bytes');
    const { issues } = await validateBytes(glb);
    expect({ errors: issues.numErrors, warnings: issues.numWarnings }).toEqual({ errors: 0, warnings: 0 });
  });

  test('the tables are RFC 4180, equally wide in every row, and say what the plan says', () => {
    const [head, ...zones] = readCsv(textOf(survey, 'zones.csv'));
    expect(zones.every((row) => row.length === head.length)).toBe(true);
    expect(zones.length).toBe(plan.regions.length);
    const areaColumn = head.findIndex((title) => /area.*mm2/i.test(title));
    const total = zones.reduce((sum, row) => sum + Number(row[areaColumn]), 0);
    expect(Math.abs(total / plan.mesh.areaMm2 - 1)).toBeLessThan(1e-3);
    const [cutterHead, ...cutters] = readCsv(textOf(survey, 'cutters.csv'));
    expect(cutters.every((row) => row.length === cutterHead.length)).toBe(true);
    expect(cutters.length).toBeGreaterThanOrEqual(plan.ladder.length);
  });
});

test('goldens of a small part: outlines, and the plan without what names the machine or a file', async () => {
  const survey = await surveyOf('box pocket');
  await expect(textOf(survey, 'outlines.svg')).toMatchFileSnapshot('goldens/box-pocket.outlines.svg');
  const { mesh, classes, reach, ladder, findings } = survey.plan;
  const rounded = (_key: string, value: unknown): unknown =>
    typeof value === 'number' ? Number(value.toPrecision(6)) : value;
  const text = JSON.stringify({ mesh, classes, reach, ladder, findings }, rounded, 1);
  await expect(`${text}\n`).toMatchFileSnapshot('goldens/box-pocket.plan.json');
});

test('the same input twice: the same bytes in every file', async () => {
  const [first, second] = [await surveyOf('round pocket'), await roundPocket()];
  expect([...first.files.keys()]).toEqual([...second.files.keys()]);
  for (const [name, content] of first.files) expect(second.files.get(name), name).toEqual(content);
});
