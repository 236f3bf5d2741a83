import type { GLTF } from '@gltf-transform/core';
import { messageOf } from '../core/errors.js';
import { checkGltfTypes } from './gltf-check.js';
import { readError } from './read-error.js';
import { finding, type Finding } from '../core/findings.js';

/** Extensions that change neither where a triangle lies nor whether there is one, or that are read. */
const HARMLESS =
  /^(KHR_mesh_quantization$|KHR_draco_mesh_compression$|(EXT|KHR)_meshopt_compression$|KHR_materials_|KHR_texture_|EXT_texture_|KHR_lights_|KHR_xmp|KHR_animation_)/;
const INSTANCING = 'EXT_mesh_gpu_instancing';

/**
 * Parses the JSON of a glTF and checks that it can be read here.
 *
 * @throws {PartError} `read.damaged`, `read.invalid`, `read.unknown-format` or `read.unsupported-extension`
 */
export function parseGltfJson(bytes: Uint8Array, name: string): GLTF.IGLTF {
  const json = parse(bytes, name);
  if (json.asset === undefined || json.asset === null) {
    throw readError(
      'read.unknown-format',
      name,
      'this is a JSON file, but no glTF',
      'export the part as STL, 3MF or GLB',
    );
  }
  if (!/^2\./.test(String(json.asset.version))) {
    throw readError(
      'read.damaged',
      name,
      `glTF version ${String(json.asset.version)} found, 2.x expected`,
      'export it as glTF 2.0',
    );
  }
  checkGltfTypes(json, name);
  const foreign = (json.extensionsRequired ?? []).find((extension) => !HARMLESS.test(extension));
  if (foreign !== undefined) {
    throw readError(
      'read.unsupported-extension',
      name,
      `its triangles need the extension ${foreign}`,
      'export it without extensions',
    );
  }
  return json;
}

function parse(bytes: Uint8Array, name: string): GLTF.IGLTF {
  try {
    const value: unknown = JSON.parse(new TextDecoder().decode(bytes));
    if (typeof value === 'object' && value !== null) return value as GLTF.IGLTF;
    throw new SyntaxError('no object');
  } catch (error) {
    throw readError('read.damaged', name, `JSON that cannot be read (${messageOf(error)})`);
  }
}

/** Only what places triangles: no pictures, materials, cameras, so that missing pictures do not matter. */
export function geometryOnly(json: GLTF.IGLTF): GLTF.IGLTF {
  const { asset, scene, scenes, nodes, meshes, accessors, bufferViews, buffers } = json;
  const plain = {
    asset,
    scene,
    scenes,
    accessors,
    buffers,
    bufferViews: bufferViews?.map(({ extensions: _extensions, ...view }) => view),
    nodes: nodes?.map(({ mesh, children, matrix, translation, rotation, scale }) =>
      defined({ mesh, children, matrix, translation, rotation, scale }),
    ),
    meshes: meshes?.map(({ primitives }) => ({
      primitives: primitives.map(({ attributes, indices, mode }) =>
        defined({
          attributes: defined({ POSITION: attributes.POSITION }),
          indices,
          mode,
        }),
      ),
    })),
  };
  return defined(plain) as GLTF.IGLTF;
}

function defined<T extends Record<string, unknown>>(object: T): T {
  return Object.fromEntries(Object.entries(object).filter(([, value]) => value !== undefined)) as T;
}

/** Doubts about what was left out. */
export function leftOutFindings(json: GLTF.IGLTF): Finding[] {
  const findings: Finding[] = [];
  const add = (code: string, count: number, message: string): void => {
    if (count > 0) findings.push(finding(code, 'warning', message, count));
  };
  const nodes = json.nodes ?? [];
  const deformed =
    nodes.filter((node) => node.skin !== undefined).length +
    (json.meshes ?? []).filter((mesh) => mesh.primitives.some((primitive) => primitive.targets !== undefined))
      .length;
  add(
    'read.deformation-ignored',
    deformed,
    'skins and morph targets are ignored: the shape is taken as it was modelled',
  );
  add(
    'read.instances-ignored',
    nodes.filter((node) => node.extensions?.[INSTANCING] !== undefined).length,
    `copies placed by ${INSTANCING} are left out; only the first of each is there`,
  );
  add(
    'read.other-scenes',
    (json.scenes ?? []).length - 1,
    'the file holds further scenes; only its default scene is read',
  );
  return findings;
}
