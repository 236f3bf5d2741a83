import { messageOf, PartError } from '../../core/errors.js';
import type { Plan } from '../../plan/plan.js';
import { shown } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import { make, need, onClick } from '../viewer/elements.js';
import type { Stage } from '../viewer/stage.js';
import { startViewer } from '../viewer/viewer.js';
import { showAnswers } from './early-answers.js';
import { showEarly } from './early-view.js';
import type { EarlyPicture } from './messages.js';
import { browserStore, keepSetup } from './kept-setup.js';
import { keepResults } from './kept-result.js';
import { runSurvey, STOPPED, type Run } from './run-survey.js';
import { setupFromForm } from './setup-form.js';
import { wholeProgress } from './whole-progress.js';

const words = TEXT.page;
const open = need(document, 'open', HTMLElement),
  input = need(document, 'part', HTMLInputElement);
const form = need(document, 'setup', HTMLFormElement),
  again = need(document, 'again', HTMLButtonElement);
const work = need(document, 'work', HTMLElement),
  bar = need(document, 'bar', HTMLProgressElement);
const stage = need(document, 'stage', HTMLElement),
  status = need(document, 'say', HTMLElement);
const errorBox = need(document, 'error', HTMLElement),
  files = need(document, 'files', HTMLElement),
  saves = need(document, 'saves', HTMLElement);
const result = need(document, 'result', HTMLElement),
  early = need(document, 'early', HTMLElement);

/** As much as an array of bytes may hold in every browser of today. */
const MOST_BYTES = 2 ** 31 - 1;
const kept = keepSetup(form, browserStore()),
  results = keepResults(document);
let part: File | null = null,
  run: Run | null = null,
  links: string[] = [],
  drawn: Stage | null = null,
  first: Stage | null = null,
  shownPart: File | null = null;

function showError(title: string, detail: string): void {
  errorBox.replaceChildren(make('strong', { textContent: title }), make('p', { textContent: detail }));
}

function showProgress(name: string, fraction: number): void {
  bar.value = fraction;
  stage.textContent = words.working(name, String(Math.round(100 * fraction)));
}

function showWorking(file: File): void {
  part = file;
  errorBox.replaceChildren();
  status.textContent = '';
  work.hidden = false;
  again.disabled = true;
  showProgress(words.reading, 0);
  delete document.documentElement.dataset.done;
}

async function survey(file: File): Promise<void> {
  run?.stop();
  showWorking(file);
  let mine: Run | null = null,
    firstMs = 0;
  const fromMs = performance.now();
  try {
    const whole = wholeProgress();
    mine = run = runSurvey(file, await inputOf(file), {
      onProgress: (name, fraction) => {
        if (run === mine) showProgress(name, whole(name, fraction));
      },
      onPicture: (picture) => {
        // Of a part that is shown already the report is the better picture.
        if (run !== mine || shownPart === file) return;
        firstMs = performance.now() - fromMs;
        showFirst(picture, words.early(file.name, secondsText(firstMs)));
      },
      onAnswers: (answers) => {
        if (run === mine && shownPart !== file) showAnswers(early, answers);
      },
    });
    const made = await mine.files;
    if (run !== mine) return;
    hideEarly();
    shownPart = file;
    document.body.classList.add('has-part');
    listFiles(made);
    await showReport(String(made.get('report.html')), JSON.parse(String(made.get('plan.json'))));
    status.textContent = words.done(
      file.name,
      firstMs > 0 ? secondsText(firstMs) : '',
      secondsText(performance.now() - fromMs),
    );
  } catch (error) {
    if (run === mine) tellFailure(file, error);
  } finally {
    if (run === mine) {
      run = null;
      hideEarly();
      work.hidden = true;
      again.disabled = false;
      document.documentElement.dataset.done = 'yes';
    }
  }
}

function showFirst(picture: EarlyPicture, caption: string): void {
  first?.dispose();
  first = showEarly(early, picture, caption);
  result.hidden = first !== null;
  document.body.classList.add('has-part');
}

async function inputOf(file: File) {
  const { setup, blockMesh } = await setupFromForm(form, kept);
  // The day as the command line tells it.
  const partDate = setup.partDate ?? new Date(file.lastModified).toISOString().slice(0, 10);
  if (file.size > MOST_BYTES)
    throw new PartError({ code: 'read.too-large', where: file.name, what: words.tooLarge, remedy: '' });
  return {
    bytes: new Uint8Array(await file.arrayBuffer()),
    name: file.name,
    setup: { ...setup, partDate },
    blockMesh,
  };
}

function tellFailure(file: File, error: unknown): void {
  if (error instanceof Error && error.message === STOPPED) status.textContent = words.cancelled;
  else if (error instanceof PartError) {
    const { where, what, remedy } = error.info;
    showError(where, [what, remedy].filter((text) => text !== '').join('; '));
  } else showError(file.name, messageOf(error));
}

function hideEarly(): void {
  first?.dispose();
  first = null;
  early.hidden = true;
  early.replaceChildren();
  result.hidden = false;
}

const secondsText = (ms: number): string => words.seconds(shown(ms / 1000, 1));

/** Puts the report's own sheet into the page, so that both can never differ. */
async function showReport(html: string, plan: Plan): Promise<void> {
  // The report's own style and script are not wanted here, and parsing them would offend the page's policy.
  const text = html.slice(html.indexOf('<main'), html.lastIndexOf('</main>') + '</main>'.length);
  const sheet = new DOMParser().parseFromString(text, 'text/html').querySelector('#report');
  if (sheet === null) throw new Error(words.unexpected('no sheet in the report'));
  const content = [...sheet.childNodes].map((node) => document.importNode(node, true));
  const box = make('div', { id: 'report', className: 'sheet' }, ...content);
  // The answers stand above what is to be saved.
  need(box, 's-1', HTMLElement).parentElement?.after(files);
  result.replaceChildren(box);
  drawn?.dispose();
  drawn = await startViewer(box);
  await results.show({ plan, sheet: box }, drawn);
  document.documentElement.dataset.view = drawn ? 'ready' : 'none';
}

function listFiles(made: ReadonlyMap<string, Uint8Array | string>): void {
  for (const link of links) URL.revokeObjectURL(link);
  links = [];
  const items = [...made]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, content]) => {
      const blob = new Blob([typeof content === 'string' ? content : new Uint8Array(content)], {
        type: typeOf(name),
      });
      const href = URL.createObjectURL(blob);
      links.push(href);
      const textContent = words.save(name, sizeText(blob.size));
      return make('li', {}, make('a', { href, download: name, textContent }));
    });
  saves.replaceChildren(...items);
  files.hidden = false;
}

const typeOf = (name: string): string =>
  ({
    json: 'application/json',
    html: 'text/html',
    svg: 'image/svg+xml',
    csv: 'text/csv',
    glb: 'model/gltf-binary',
  })[name.split('.').pop() ?? ''] ?? 'application/octet-stream';

const sizeText = (bytes: number): string =>
  bytes < 1e6 ? `${shown(Math.ceil(bytes / 1000), 0)} kB` : `${shown(bytes / 1e6, 1)} MB`;

input.addEventListener('change', () => {
  const file = input.files?.[0];
  if (file) void survey(file);
  // The same file may be chosen again after it was changed.
  input.value = '';
});
/** Marks what cannot be read as it is typed; what is wrong in a file is told with the survey. */
const check = (): void => void setupFromForm(form, kept, false).catch(() => undefined);
form.addEventListener('change', check);
check();
form.addEventListener('submit', (event) => {
  event.preventDefault();
  if (part) void survey(part);
});
onClick(document, 'stop', () => run?.stop());
for (const kind of ['dragenter', 'dragover'] as const) {
  addEventListener(kind, (event) => {
    event.preventDefault();
    open.classList.add('over');
  });
}
addEventListener('dragleave', (event) => {
  if (event.relatedTarget === null) open.classList.remove('over');
});
addEventListener('drop', (event) => {
  event.preventDefault();
  open.classList.remove('over');
  const file = event.dataTransfer?.files[0];
  if (file) void survey(file);
});
onClick(document, 'theme', () => {
  const { dataset } = document.documentElement;
  const isDark = dataset.theme ? dataset.theme === 'dark' : matchMedia('(prefers-color-scheme:dark)').matches;
  dataset.theme = isDark ? 'light' : 'dark';
});
if (typeof Worker === 'undefined') showError(words.title, words.noWorker);
