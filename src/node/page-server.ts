import { readdir, readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const LOOPBACK = '127.0.0.1';
const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.wasm': 'application/wasm',
};

/**
 * Beside the policy in the page itself: isolation, without which workers cannot share memory, and no framing.
 */
const HEADERS: Readonly<Record<string, string>> = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Content-Security-Policy':
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; " +
    "img-src 'self' data: blob:; worker-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'Cache-Control': 'no-cache',
};

/**
 * Serves the built page to this computer only.
 *
 * Requests that name another host are refused: a site elsewhere could point its own name here (DNS
 * rebinding).
 *
 * @param port 0: any that is free
 * @throws the system's error if the port is taken
 */
export async function startPageServer(port: number) {
  const folder = fileURLToPath(new URL('../page/site/', import.meta.url));
  const names = new Set(await readdir(folder));
  const server = createServer((request, response) => {
    void answer(request, response, folder, names, hosts).catch(() => {
      response.writeHead(500).end();
    });
  });
  const hosts = new Set<string>();
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, LOOPBACK, resolve);
  });
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('startPageServer: no port');
  for (const host of hostsAt(address.port)) hosts.add(host);
  return {
    url: `http://${LOOPBACK}:${address.port}/`,
    close: () =>
      new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

/** What a browser on this computer calls the server; the port of HTTP itself it leaves out (RFC 9110, 4.2.1). */
export const hostsAt = (port: number): string[] =>
  [LOOPBACK, 'localhost'].flatMap((host) => [`${host}:${port}`, ...(port === 80 ? [host] : [])]);

async function answer(
  { method, url, headers }: IncomingMessage,
  response: ServerResponse,
  folder: string,
  names: ReadonlySet<string>,
  hosts: ReadonlySet<string>,
): Promise<void> {
  const refuse = (status: number): void => {
    response.writeHead(status, { ...HEADERS, 'Content-Type': 'text/plain' }).end(`${status}\n`);
  };
  if (!hosts.has(headers.host ?? '')) return refuse(421);
  if (method !== 'GET' && method !== 'HEAD') return refuse(405);
  const path = (url ?? '/').split('?')[0];
  const name = path === '/' ? 'index.html' : path.slice(1);
  // Only names that the build put there: no path leads out of the folder.
  if (!names.has(name)) return refuse(404);
  const bytes = await readFile(join(folder, name));
  response.writeHead(200, {
    ...HEADERS,
    'Content-Type': TYPES[extname(name)] ?? 'application/octet-stream',
    'Content-Length': bytes.length,
  });
  response.end(method === 'HEAD' ? undefined : bytes);
}
