import type { RecordKind, RecordOf } from '@rundlet/contracts';

/** Records changed and not yet written, by kind and id; null means removed. */
export class Changes {
  readonly #byKind = new Map<RecordKind, Map<string, RecordOf<RecordKind> | null>>();

  set(kind: RecordKind, id: string, record: RecordOf<RecordKind> | null): void {
    const ofKind = this.of(kind);
    if (ofKind.size === 0) this.#byKind.set(kind, ofKind);
    ofKind.set(id, record);
  }

  of(kind: RecordKind): Map<string, RecordOf<RecordKind> | null> {
    return this.#byKind.get(kind) ?? new Map<string, RecordOf<RecordKind> | null>();
  }

  kinds(): RecordKind[] {
    return [...this.#byKind.keys()];
  }

  /** Take over what `later` changed, and empty it. */
  absorb(later: Changes): void {
    for (const kind of later.kinds())
      for (const [id, record] of later.of(kind)) this.set(kind, id, record);
    later.clear();
  }

  clear(): void {
    this.#byKind.clear();
  }
}
