import { createHash } from 'node:crypto';
import { closeSync, openSync, readSync } from 'node:fs';
import { constants, open, stat, type FileHandle } from 'node:fs/promises';
import { messageOf, PartError } from '../core/errors.js';
import type { FileChunks } from '../core/file-chunks.js';

/** Longer files are not held: reads of more would stop the process, and so would the digest. */
const MOST_BYTES = 2 ** 31 - 1;
/** One read call; keeps memory for the system's copy small and lets an abort through. */
const CHUNK_BYTES = 2 ** 26;

/** A file too long to be held; see `fileChunks`. A thread can be handed it. */
export interface LongFile {
  readonly path: string;
  readonly length: number;
}

/**
 * All bytes of a file, or where it is one longer than 2 GiB that may be read in pieces.
 *
 * @throws as `readFileBytes`
 */
export async function readPartFile(path: string, signal?: AbortSignal): Promise<Uint8Array | LongFile> {
  const found = await stat(path).catch(() => null);
  return found?.isFile() && found.size > MOST_BYTES
    ? { path, length: found.size }
    : readFileBytes(path, signal);
}

/**
 * A long file, to be read from its beginning. For a thread that may wait for the disk.
 *
 * @throws {PartError} `read.missing`, `read.denied`, `read.failed`
 */
export function fileChunks({ path, length }: LongFile): FileChunks {
  const hash = createHash('sha256');
  const guarded = <T>(act: () => T): T => {
    try {
      return act();
    } catch (error) {
      throw openError(path, error);
    }
  };
  const file = guarded(() => openSync(path, 'r'));
  return {
    length,
    read: (into) => {
      let done = 0;
      while (done < into.length) {
        const count = guarded(() =>
          readSync(file, into, done, Math.min(CHUNK_BYTES, into.length - done), null),
        );
        if (count === 0) break;
        done += count;
      }
      hash.update(into.subarray(0, done));
      return done;
    },
    sha256: () => {
      closeSync(file);
      return hash.digest('hex');
    },
  };
}

/**
 * All bytes of a file.
 *
 * @throws {PartError} `read.missing`, `read.directory`, `read.not-a-file`, `read.denied`, `read.too-large`,
 *   `read.failed`
 * @throws the signal's reason if it is aborted
 */
export async function readFileBytes(path: string, signal?: AbortSignal): Promise<Uint8Array> {
  signal?.throwIfAborted();
  let file: FileHandle;
  try {
    // A pipe that nobody writes to would be waited for.
    file = await open(path, constants.O_RDONLY | constants.O_NONBLOCK);
  } catch (error) {
    throw openError(path, error);
  }
  try {
    const found = await file.stat();
    if (found.isDirectory())
      throw unusable('directory', path, 'a directory, not a file', 'name a file in it');
    if (!found.isFile())
      throw unusable('not-a-file', path, 'a device or pipe, not a file', 'save it to a file first');
    if (found.size > MOST_BYTES) {
      const what = `${(found.size / 2 ** 30).toFixed(1)} GiB, at most 2 GiB can be read`;
      throw unusable('too-large', path, what, 'export it coarser, or in parts');
    }
    return await readAll(file, found.size, signal);
  } catch (error) {
    if (error instanceof PartError || signal?.aborted) throw error;
    throw unusable('failed', path, systemMessage(error), 'check the disk');
  } finally {
    await file.close();
  }
}

/**
 * All bytes of a stream.
 *
 * @throws {PartError} `read.too-large`
 */
export async function readStreamBytes(stream: AsyncIterable<Uint8Array>, name: string): Promise<Uint8Array> {
  const pieces: Uint8Array[] = [];
  let length = 0;
  for await (const piece of stream) {
    length += piece.length;
    if (length > MOST_BYTES)
      throw unusable(
        'too-large',
        name,
        'more than 2 GiB; only a file may be longer',
        'save it to a file first',
      );
    pieces.push(piece);
  }
  return Buffer.concat(pieces);
}

/** Day on which a file was last changed, `2026-03-01` in UTC; null if there is no telling. */
export async function fileDay(path: string): Promise<string | null> {
  const found = await stat(path).catch(() => null);
  return /^\d{4}-\d{2}-\d{2}/.exec(found?.mtime.toISOString() ?? '')?.[0] ?? null;
}

async function readAll(file: FileHandle, size: number, signal?: AbortSignal): Promise<Uint8Array> {
  const bytes = new Uint8Array(size);
  let done = 0;
  while (done < size) {
    signal?.throwIfAborted();
    const { bytesRead } = await file.read(bytes, done, Math.min(CHUNK_BYTES, size - done), done);
    if (bytesRead === 0) return bytes.slice(0, done);
    done += bytesRead;
  }
  return bytes;
}

/**
 * A parsed JSON file.
 *
 * @param kind first half of the error's code: `setup` gives `setup.not-json`
 * @throws {PartError} as `readFileBytes`, or `<kind>.not-json` with the parser's reason
 */
export async function readJsonFile(path: string, kind: string): Promise<unknown> {
  const text = new TextDecoder().decode(await readFileBytes(path));
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new PartError({
      code: `${kind}.not-json`,
      where: path,
      what: `no JSON (${systemMessage(error)})`,
      remedy: 'correct it; a JSON file has no comments and no trailing commas',
    });
  }
}

/** Reason, what and remedy of what the system says when a file cannot be opened. */
const OPEN_ERRORS: Readonly<Record<string, readonly [reason: string, what: string, remedy: string]>> = {
  ENOENT: ['missing', 'no such file', 'check the name and the folder'],
  ENOTDIR: ['missing', 'no such file', 'check the name and the folder'],
  EACCES: ['denied', 'reading is not allowed', 'check its permissions'],
  EPERM: ['denied', 'reading is not allowed', 'check its permissions'],
  EISDIR: ['directory', 'a directory, not a file', 'name a file in it'],
};

function openError(path: string, error: unknown): PartError {
  const known = OPEN_ERRORS[systemCode(error)];
  const [reason, what, remedy] = known ?? ['failed', systemMessage(error), 'check the name and the disk'];
  return unusable(reason, path, what, remedy);
}

const unusable = (reason: string, where: string, what: string, remedy: string): PartError =>
  new PartError({ code: `read.${reason}`, where, what, remedy });

/** `ENOENT` and the like; empty if it is no error of the system. */
export function systemCode(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';
}

/** First line of an error's message. */
export function systemMessage(error: unknown): string {
  return messageOf(error).split('\n')[0];
}
