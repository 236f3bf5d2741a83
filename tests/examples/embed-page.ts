import { readdir, readFile } from 'node:fs/promises';
import { createServer, type Server } from 'node:http';
import { fileURLToPath } from 'node:url';

/** Where the built page lies: any web server can hand out that folder as it is. */
const FOLDER = new URL('.', import.meta.resolve('scarp/page/index.html'));
const TYPES = { html: 'text/html', js: 'text/javascript', css: 'text/css' } as const;
type Ending = keyof typeof TYPES;

/** Without these two headers, on the page around it too, the browser lets it use one core only. */
const ISOLATED = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
};

/** A page of one's own, with scarp's in a frame. */
const AROUND = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Quotes</title><link rel="icon" href="data:,"></head>
<body><h1>Quotes</h1><iframe title="Survey of a part" src="/survey/index.html" width="1100" height="800"></iframe></body></html>`;

/** Serves both; the caller listens and closes. */
export async function embeddingServer(): Promise<Server> {
  const names = new Set(await readdir(fileURLToPath(FOLDER)));
  return createServer((request, response) => {
    const answer = (ending: Ending, content: string | Uint8Array): void => {
      response
        .writeHead(200, { ...ISOLATED, 'Content-Type': `${TYPES[ending]}; charset=utf-8` })
        .end(content);
    };
    const name = request.url?.replace('/survey/', '') ?? '';
    if (request.url === '/') answer('html', AROUND);
    else if (!names.has(name)) response.writeHead(404).end();
    else {
      readFile(new URL(name, FOLDER)).then(
        (bytes) => answer(name.slice(name.lastIndexOf('.') + 1) as Ending, bytes),
        () => response.writeHead(500).end(),
      );
    }
  });
}
