import { indexed } from './formats.js';

/** Length units as STEP writes them; `#9` is taken. */
const UNITS = {
  mm: ['#9=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));'],
  m: ['#9=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT($,.METRE.));'],
  in: [
    "#9=(CONVERSION_BASED_UNIT('INCH',#17)LENGTH_UNIT()NAMED_UNIT(#16));",
    '#16=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);',
    '#17=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#18);',
    '#18=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));',
  ],
} as const;

/** ISO 10303-21 file of one product whose shape is `items[0]`, entities from `#100` on. */
function stepFile(representation: string, entities: readonly string[], unit: keyof typeof UNITS): Uint8Array {
  const lines = [
    'ISO-10303-21;',
    "HEADER;FILE_DESCRIPTION((''),'2;1');FILE_NAME('part','2026-01-01T00:00:00',(''),(''),'','','');",
    "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));ENDSEC;",
    'DATA;',
    "#1=APPLICATION_CONTEXT('');",
    "#2=PRODUCT_CONTEXT('',#1,'mechanical');",
    "#3=PRODUCT('part','part','',(#2));",
    "#4=PRODUCT_DEFINITION_FORMATION('','',#3);",
    "#5=PRODUCT_DEFINITION_CONTEXT('',#1,'design');",
    "#6=PRODUCT_DEFINITION('','',#4,#5);",
    "#7=PRODUCT_DEFINITION_SHAPE('','',#6);",
    '#8=SHAPE_DEFINITION_REPRESENTATION(#7,#15);',
    ...UNITS[unit],
    '#10=(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.));',
    '#11=(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT());',
    "#12=UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-6),#9,'','');",
    '#13=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#12))' +
      "GLOBAL_UNIT_ASSIGNED_CONTEXT((#9,#10,#11))REPRESENTATION_CONTEXT('',''));",
    `#15=${representation}('',(#100),#13);`,
    ...entities,
    'ENDSEC;',
    'END-ISO-10303-21;',
  ];
  return new TextEncoder().encode(`${lines.join('\n')}\n`);
}

/** A number as STEP has it: always with a point. */
const real = (x: number): string => (Number.isInteger(x) ? `${x}.` : String(x).replace('e', 'E'));
const triple = (numbers: readonly number[]): string => `(${numbers.map(real).join(',')})`;

/** A soup (9 T) as a solid of plane faces, one per triangle. */
export function facettedStep(corners: Float64Array, unit: keyof typeof UNITS = 'mm'): Uint8Array {
  const { points, triangles } = indexed(corners);
  const faces = triangles.map((triangle, t) => {
    const id = 10_000 + 10 * t;
    const [a, b, c] = triangle.map((v) => points[v]);
    const [u, v] = [b.map((x, i) => x - a[i]), c.map((x, i) => x - a[i])];
    const normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    return [
      `#${id}=POLY_LOOP('',(${triangle.map((one) => `#${200 + one}`).join(',')}));`,
      `#${id + 1}=FACE_OUTER_BOUND('',#${id},.T.);`,
      `#${id + 2}=DIRECTION('',${triple(normal)});`,
      `#${id + 3}=DIRECTION('',${triple(u)});`,
      `#${id + 4}=AXIS2_PLACEMENT_3D('',#${200 + triangle[0]},#${id + 2},#${id + 3});`,
      `#${id + 5}=PLANE('',#${id + 4});`,
      `#${id + 6}=FACE_SURFACE('',(#${id + 1}),#${id + 5},.T.);`,
    ];
  });
  return stepFile(
    'FACETED_BREP_SHAPE_REPRESENTATION',
    [
      "#100=FACETED_BREP('',#101);",
      `#101=CLOSED_SHELL('',(${faces.map((_, t) => `#${10_006 + 10 * t}`).join(',')}));`,
      ...points.map((point, v) => `#${200 + v}=CARTESIAN_POINT('',${triple(point)});`),
      ...faces.flat(),
    ],
    unit,
  );
}

/** An upright cylinder on the origin as a solid of one round and two plane faces. */
export function cylinderStep(radius: number, height: number, unit: keyof typeof UNITS = 'mm'): Uint8Array {
  const disc = (id: number, z: number, up: number): string[] => [
    `#${id}=CARTESIAN_POINT('',${triple([0, 0, z])});`,
    `#${id + 1}=AXIS2_PLACEMENT_3D('',#${id},#104,#105);`,
    `#${id + 2}=CIRCLE('',#${id + 1},${real(radius)});`,
    `#${id + 3}=CARTESIAN_POINT('',${triple([radius, 0, z])});`,
    `#${id + 4}=VERTEX_POINT('',#${id + 3});`,
    `#${id + 5}=EDGE_CURVE('',#${id + 4},#${id + 4},#${id + 2},.T.);`,
    `#${id + 6}=ORIENTED_EDGE('',*,*,#${id + 5},${up > 0 ? '.T.' : '.F.'});`,
    `#${id + 7}=EDGE_LOOP('',(#${id + 6}));`,
    `#${id + 8}=FACE_OUTER_BOUND('',#${id + 7},.T.);`,
    `#${id + 9}=PLANE('',#${id + 1});`,
    `#${id + 10}=ADVANCED_FACE('',(#${id + 8}),#${id + 9},${up > 0 ? '.T.' : '.F.'});`,
  ];
  return stepFile(
    'ADVANCED_BREP_SHAPE_REPRESENTATION',
    [
      "#100=MANIFOLD_SOLID_BREP('',#101);",
      "#101=CLOSED_SHELL('',(#130,#150,#170));",
      "#104=DIRECTION('',(0.,0.,1.));",
      "#105=DIRECTION('',(1.,0.,0.));",
      ...disc(120, 0, -1),
      ...disc(140, height, 1),
      "#160=VECTOR('',#104,1.);",
      "#161=LINE('',#123,#160);",
      "#162=EDGE_CURVE('',#124,#144,#161,.T.);",
      "#163=ORIENTED_EDGE('',*,*,#125,.T.);",
      "#164=ORIENTED_EDGE('',*,*,#162,.T.);",
      "#165=ORIENTED_EDGE('',*,*,#145,.F.);",
      "#166=ORIENTED_EDGE('',*,*,#162,.F.);",
      "#167=EDGE_LOOP('',(#163,#164,#165,#166));",
      "#168=FACE_OUTER_BOUND('',#167,.T.);",
      `#169=CYLINDRICAL_SURFACE('',#121,${real(radius)});`,
      "#170=ADVANCED_FACE('',(#168),#169,.T.);",
    ],
    unit,
  );
}
