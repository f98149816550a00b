/** Codes that passed by lately, by id: what was just registered or scanned has a name before the store is fetched again. */
import { api } from '@rundlet/contracts';
import { aisle } from './aisle.ts';
import { client } from './client.ts';

const MOST_ASKED = 20;
const lately = new Map<string, string>();

export function rememberCode(id: string, code: string): void {
  lately.set(id, code);
}

/** Asks for the codes of casks, vats or bottling runs that are not known here; a few at a time is all that a page's address can name sensibly. */
export async function learnCodes(
  kind: 'cask' | 'vat' | 'bottling-run',
  ids: readonly string[],
): Promise<void> {
  const unknown = ids.filter((id) => codeOf(id).startsWith('…')).slice(0, MOST_ASKED);
  if (kind === 'vat') {
    const vats = unknown.length > 0 ? await client.call(api.places.vats).catch(() => null) : null;
    for (const { vat } of vats?.rows ?? []) rememberCode(vat.id, vat.code);
    return;
  }
  for (const id of unknown) {
    const code = await (
      kind === 'cask'
        ? client.call(api.casks.card, { params: { id } }).then(({ cask }) => cask.code)
        : client.call(api.bottlings.run, { params: { id } }).then(({ run }) => run.code)
    ).catch(() => null);
    if (code !== null) rememberCode(id, code);
  }
}

/** The code of a cask or position, or the end of its id where it is not known here. */
export function codeOf(id: string): string {
  const { index } = aisle();
  return (
    index?.caskById.get(id)?.code ??
    index?.positionById.get(id)?.code ??
    lately.get(id) ??
    `…${id.slice(-6)}`
  );
}
