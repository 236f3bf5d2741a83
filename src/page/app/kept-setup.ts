import { TEXT } from '../../write/report-text.js';
import { need, onClick } from '../viewer/elements.js';

const words = TEXT.page;
const KEY = 'scarp.set-up';

/** A file of the form as it was read. */
export interface KeptFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

interface Kept {
  readonly fields: Readonly<Record<string, string | boolean>>;
  readonly files: Readonly<Record<string, { readonly name: string; readonly base64: string }>>;
}

export type KeptSetup = ReturnType<typeof keepSetup>;

/**
 * Keeps what was chosen in the form, its files included, on this computer alone, and fills it in again.
 *
 * @param store null: nothing is kept, as where the browser forbids it
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share form, files and store.
export function keepSetup(form: HTMLFormElement, store: Storage | null) {
  const files = new Map<string, Promise<KeptFile>>();
  const inputs = [...form.querySelectorAll<HTMLInputElement | HTMLSelectElement>('input,select')];
  const showFile = (id: string, name: string): void => {
    need(form, `${id}-kept`, HTMLElement).textContent = name === '' ? '' : words.keptFile(name);
  };
  const save = async (): Promise<void> => {
    const entries = [...files].map(async ([id, file]) => {
      const { name, bytes } = await file;
      return [
        id,
        { name, base64: btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join('')) },
      ] as const;
    });
    const kept: Kept = {
      fields: Object.fromEntries(
        inputs
          .filter(({ type }) => type !== 'file')
          .map((input) => [
            input.id,
            input.type === 'checkbox' ? (input as HTMLInputElement).checked : input.value,
          ]),
      ),
      files: Object.fromEntries(await Promise.all(entries)),
    };
    // Files may be too much for the browser's store: they then hold for this visit.
    for (const some of [kept, { ...kept, files: {} }]) {
      try {
        store?.setItem(KEY, JSON.stringify(some));
        return;
      } catch {}
    }
  };
  const fill = ({ fields, files: known }: Kept): void => {
    for (const input of inputs) {
      const value = fields[input.id];
      if (input instanceof HTMLInputElement && typeof value === 'boolean') input.checked = value;
      else if (typeof value === 'string') input.value = value;
    }
    for (const [id, file] of Object.entries(known)) {
      if (form.querySelector(`#${CSS.escape(id)}-kept`) === null) continue;
      const bytes = Uint8Array.from(atob(file.base64), (letter) => letter.charCodeAt(0));
      files.set(id, Promise.resolve({ name: file.name, bytes }));
      showFile(id, file.name);
    }
  };
  form.addEventListener('change', ({ target }) => {
    if (target instanceof HTMLInputElement && target.type === 'file') {
      const file = target.files?.[0];
      if (file === undefined) files.delete(target.id);
      else
        files.set(
          target.id,
          file.arrayBuffer().then((buffer) => ({ name: file.name, bytes: new Uint8Array(buffer) })),
        );
      showFile(target.id, file?.name ?? '');
    }
    void save();
  });
  onClick(form, 'forget', () => {
    form.reset();
    for (const id of files.keys()) showFile(id, '');
    files.clear();
    store?.removeItem(KEY);
  });
  const kept = keptIn(store);
  if (kept !== null) fill(kept);
  return {
    /** a file chosen now or kept from the last visit */
    file: async (id: string): Promise<KeptFile | null> => (await files.get(id)) ?? null,
  };
}

/** What an earlier visit left; null: nothing that can be read. */
function keptIn(store: Storage | null): Kept | null {
  try {
    const kept: unknown = JSON.parse(store?.getItem(KEY) ?? 'null');
    const isKept = typeof kept === 'object' && kept !== null && 'fields' in kept && 'files' in kept;
    return isKept ? (kept as Kept) : null;
  } catch {
    return null;
  }
}

/** The browser's store; null where it forbids it. */
export function browserStore(): Storage | null {
  try {
    return globalThis.localStorage;
  } catch {
    return null;
  }
}
