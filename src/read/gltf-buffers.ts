import type { GLTF } from '@gltf-transform/core';
import type { Context } from '../core/context.js';
import { PartError } from '../core/errors.js';
import { readError } from './read-error.js';

export interface BufferSources {
  readonly name: string;
  readonly readBeside: Context['readBeside'];
  /** the binary chunk of a GLB; null if there is none */
  readonly binary: Uint8Array | null;
}

/**
 * Bytes of every buffer of a glTF: its binary chunk, those written into its addresses, and files beside it. Null
 * for one without an address, which only stands in for what extensions unpack.
 *
 * @throws {PartError} `read.external-address` for an address outside of the file's folder,
 *   `read.missing-resource` naming all files that are not at hand, `read.truncated`
 */
export async function gltfBuffers(
  json: GLTF.IGLTF,
  { name, binary, readBeside }: BufferSources,
): Promise<(Uint8Array | null)[]> {
  const missing: string[] = [];
  const buffers: (Uint8Array | null)[] = [];
  for (const [i, { uri, byteLength }] of (json.buffers ?? []).entries()) {
    const bytes =
      uri === undefined
        ? i === 0
          ? binary
          : null
        : uri.startsWith('data:')
          ? embeddedBytes(uri, `${name}: buffers.${i}`)
          : await bytesBeside(pathBeside(uri, name), readBeside);
    if (bytes === undefined) missing.push(String(uri));
    else if (bytes !== null && bytes.length < byteLength) {
      const what = `${byteLength} bytes announced, ${bytes.length} found`;
      throw readError('read.truncated', `${name}: buffers.${i}`, what);
    }
    buffers.push(bytes ?? null);
  }
  if (missing.length === 0) return buffers;
  throw readError(
    'read.missing-resource',
    name,
    `its triangles are in ${missing.join(', ')}, not at hand`,
    'keep those files beside it, or export as GLB, which is one file',
  );
}

/** Bytes of a `data:` address (RFC 2397). */
function embeddedBytes(uri: string, where: string): Uint8Array {
  const comma = uri.indexOf(',');
  const content = uri.slice(comma + 1);
  if (!uri.slice(0, comma).endsWith(';base64')) return new TextEncoder().encode(decodeURIComponent(content));
  try {
    return Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0));
  } catch {
    throw readError('read.damaged', where, 'an address whose bytes are no base64');
  }
}

/**
 * Path of a file in the folder of the glTF or below it.
 *
 * @throws {PartError} `read.external-address` if the address leads anywhere else
 */
function pathBeside(uri: string, name: string): string {
  const path = decodeURIComponent(uri);
  const leadsOut = /^[a-z][a-z0-9+.-]*:|^\/|\\|\0/i.test(path) || path.split('/').includes('..');
  if (!leadsOut && path !== '') return path;
  throw readError(
    'read.external-address',
    name,
    `its triangles are at "${uri}", outside of its own folder, where nothing is read`,
    'keep those files beside it, or export as GLB, which is one file',
  );
}

/** Undefined if there is no such file. */
async function bytesBeside(path: string, readBeside: Context['readBeside']): Promise<Uint8Array | undefined> {
  try {
    return await readBeside?.(path);
  } catch (error) {
    if (error instanceof PartError && error.info.code === 'read.missing') return undefined;
    throw error;
  }
}
