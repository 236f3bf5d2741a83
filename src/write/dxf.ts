import type { ArcPath } from '../outlines/fit-arcs.js';
import type { Curve } from './coloured-glb.js';
import { roundedPlanMm } from './number.js';

export interface DxfLayer {
  /**
   * Says class and cutter: `steep`, `shallow contact B6` ... Characters that DXF forbids in names become `-`; of names
   * that are then the same, in capitals or not, the later get a number.
   */
  readonly name: string;
  /** Index of a colour in the format's fixed table, 1 to 255. */
  readonly colour: number;
  /** Plan outlines of lines and arcs, at height 0. */
  readonly outlines: readonly (ArcPath & {
    /** kept with the outline as extended data */ readonly use?: string;
  })[];
  readonly curves: readonly Curve[];
  /** kept with each curve as extended data */
  readonly use?: string;
}

/**
 * DXF, ASCII, release AC1021, in mm (`$INSUNITS` 4), one layer per entry: plan outlines as LWPOLYLINE with
 * bulges, curves in space as 3D POLYLINE. The writing library is loaded on first use.
 *
 * @throws {RangeError} if two layers have one name, a colour is out of range or a coordinate is not finite
 */
export async function outlinesDxf(layers: readonly DxfLayer[]): Promise<string> {
  const { DxfWriter, LWPolylineFlags, PolylineFlags, Units, point2d, point3d } = await import(
    '@tarikjabiri/dxf'
  );
  const writer = new DxfWriter();
  writer.setUnits(Units.Millimeters);
  writer.tables.addAppId(APPLICATION);
  const given = new Set<string>(),
    names = new Set<string>();
  for (const layer of layers) {
    if (given.has(layer.name)) throw new RangeError(`outlinesDxf: layer "${layer.name}" twice`);
    given.add(layer.name);
    const layerName = newName(layer.name.replace(/[<>/\\":;?*|=`,\p{Cc}]/gu, '-'), names);
    if (!Number.isInteger(layer.colour) || layer.colour < 1 || layer.colour > 255) {
      throw new RangeError(`outlinesDxf: colour ${layer.colour} of layer "${layerName}", expected 1 to 255`);
    }
    writer.addLayer(layerName, layer.colour, 'Continuous');
    for (const { points, bulges, closed, use } of layer.outlines) {
      const vertices = Array.from(bulges, (bulge, i) => ({
        point: point2d(roundedPlanMm(points[2 * i]), roundedPlanMm(points[2 * i + 1])),
        bulge: roundedBulge(bulge),
      }));
      const outline = writer.addLWPolyline(vertices, {
        layerName,
        flags: closed ? LWPolylineFlags.Closed : LWPolylineFlags.None,
      });
      // The library leaves out the last character (2.9.0).
      if (use !== undefined) outline.addXData(APPLICATION).string(`${use} `);
    }
    for (const { points, closed } of layer.curves) {
      const vertices = Array.from({ length: points.length / 3 }, (_, i) => ({
        point: point3d(...xyz(points, i)),
      }));
      const flags: number = closed
        ? PolylineFlags.Polyline3D | PolylineFlags.Closed
        : PolylineFlags.Polyline3D;
      const curve = writer.addPolyline3D(vertices, { layerName, flags });
      if (layer.use !== undefined) curve.addXData(APPLICATION).string(`${layer.use} `);
    }
  }
  return `${writer.stringify().trimEnd()}\n`;
}

/** The name, with a number behind it if it is taken; noted as taken. */
function newName(name: string, taken: Set<string>): string {
  let own = name;
  for (let i = 2; taken.has(own.toLowerCase()); i++) own = `${name} ${i}`;
  taken.add(own.toLowerCase());
  return own;
}

/** Under which name readers find the extended data. */
const APPLICATION = 'SCARP';

const xyz = (points: Float64Array, i: number): [number, number, number] => [
  roundedPlanMm(points[3 * i]),
  roundedPlanMm(points[3 * i + 1]),
  roundedPlanMm(points[3 * i + 2]),
];

/** Ten decimals: 1e-10 of a bulge moves an arc of 1 m by less than 1e-6 mm, and no exponent is written. */
const roundedBulge = (bulge: number): number => Math.round(bulge * 1e10) / 1e10 + 0;
