import type { RecordKind, RecordOf } from '@rundlet/contracts';
import type { MadeKind, RecordStore } from './ports.ts';

/** Changes held back until the whole act has been folded: a refusal half-way leaves nothing behind. */
export class StagedRecords implements RecordStore {
  readonly #base: RecordStore;
  readonly #changes = new Map<
    string,
    { kind: RecordKind; id: string; record: RecordOf<RecordKind> | null }
  >();

  constructor(base: RecordStore) {
    this.#base = base;
  }

  async get<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null> {
    const change = this.#changes.get(`${kind}:${id}`);
    return change ? (change.record as RecordOf<K> | null) : this.#base.get(kind, id);
  }
  put<K extends RecordKind>(kind: K, record: RecordOf<K>): void {
    const { id } = record as { id: string };
    this.#changes.set(`${kind}:${id}`, { kind, id, record });
  }
  remove(kind: RecordKind, id: string): void {
    this.#changes.set(`${kind}:${id}`, { kind, id, record: null });
  }

  /** Hand everything to the store behind. */
  commit(): void {
    for (const { kind, id, record } of this.#changes.values()) {
      if (record === null) this.#base.remove(kind, id);
      else this.#base.put(kind, record);
    }
    this.#changes.clear();
  }

  // The rules look these up before they change anything, so the store behind has the whole truth.
  idByUnique = (...args: Parameters<RecordStore['idByUnique']>) => this.#base.idByUnique(...args);
  casksInScope = (...args: Parameters<RecordStore['casksInScope']>) =>
    this.#base.casksInScope(...args);
  stocktakeLines = (...args: Parameters<RecordStore['stocktakeLines']>) =>
    this.#base.stocktakeLines(...args);
  openHeldActs = () => this.#base.openHeldActs();
  /** The lines the store behind knows, as this act has left them. */
  openStocktakeLines = async (caskId: string): Promise<RecordOf<'stocktake-line'>[]> => {
    const lines: RecordOf<'stocktake-line'>[] = [];
    for (const { id } of await this.#base.openStocktakeLines(caskId)) {
      const line = await this.get('stocktake-line', id);
      if (line) lines.push(line);
    }
    return lines;
  };
  madeOf = <K extends MadeKind>(kind: K, inputId: string) => this.#base.madeOf(kind, inputId);
  postingsOfEntry = (...args: Parameters<RecordStore['postingsOfEntry']>) =>
    this.#base.postingsOfEntry(...args);
  postingSums = (...args: Parameters<RecordStore['postingSums']>) =>
    this.#base.postingSums(...args);
}
