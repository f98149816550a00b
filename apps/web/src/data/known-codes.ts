/** Codes that passed by lately, by id: what was just registered or scanned has a name before the store is fetched again. */
import { aisle } from './aisle.ts';

const lately = new Map<string, string>();

export function rememberCode(id: string, code: string): void {
  lately.set(id, code);
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
