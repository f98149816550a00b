import type { RecordKind } from '@rundlet/contracts';

/** What a record is called by, as far as the host knows it. */
export interface Named {
  readonly code: string;
  /** GS1 asset identifier, for casks that have one. */
  readonly giai?: string | null;
}
export type NameOf = (kind: RecordKind, id: string) => Named | null;

/**
 * The identifiers events are written with, under the estate's own address: GS1 Digital Link where a cask has a GIAI, else
 * addresses of our own. The wood is an asset; what lies in it is a thing of its own, so that a refill is another thing.
 */
export class Identifiers {
  readonly origin: string;
  readonly #nameOf: NameOf;

  constructor(origin: string, nameOf: NameOf) {
    this.origin = origin.replace(/\/$/, '').toLowerCase();
    this.#nameOf = nameOf;
  }

  of(kind: RecordKind, id: string): string {
    const named = this.#nameOf(kind, id);
    if (kind === 'cask' && named?.giai)
      return `${this.origin}/8004/${encodeURIComponent(named.giai)}`;
    return `${this.origin}/id/${kind}/${encodeURIComponent(named?.code ?? id)}`;
  }

  event(entryId: string, n: number): string {
    return `${this.origin}/id/event/${entryId}.${String(n)}`;
  }

  get vocabulary(): string {
    return `${this.origin}/id/words/`;
  }
}

/** Kind and code in an identifier of this address; null for somebody else's. */
export function ownIdentifier(origin: string, uri: string): { kind: string; code: string } | null {
  const start = `${origin.replace(/\/$/, '').toLowerCase()}/id/`;
  if (!uri.startsWith(start)) return null;
  const [kind = '', code = ''] = uri.slice(start.length).split('/');
  return { kind, code: decodeURIComponent(code) };
}
