import type {
  ActKind,
  ExpectedFigures,
  Gauge,
  JournalEntry,
  LiquidFigures,
  RecordKind,
  RecordOf,
  Surety,
} from '@rundlet/contracts';

/** Unique look-ups the rules need; each answers with at most one record's id. */
export type UniqueKey = 'code' | 'alias';

/** Steps of the chain that are made of the step before. */
export type MadeKind = 'harvest-lot' | 'ferment' | 'still-run' | 'spirit-lot';

/**
 * The state as the rules see it: records by kind and id, a few look-ups, nothing else. The server binds it to one
 * database transaction; `verify` and the tests bind it to memory.
 */
export interface RecordStore {
  get<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null>;
  put<K extends RecordKind>(kind: K, record: RecordOf<K>): void;
  remove(kind: RecordKind, id: string): void;
  /** Id of the record of this kind with this code (or, for casks, alias), or null. */
  idByUnique(kind: RecordKind, key: UniqueKey, value: string): Promise<string | null>;
  /** Filled or empty casks standing in a store's zones and rows; empty lists mean all. */
  casksInScope(scope: {
    storeId: string;
    zoneIds: readonly string[];
    rows: readonly string[];
  }): Promise<RecordOf<'cask'>[]>;
  stocktakeLines(stocktakeId: string): Promise<RecordOf<'stocktake-line'>[]>;
  /** The cask's lines in stock-takes that are neither signed nor given up. */
  openStocktakeLines(caskId: string): Promise<RecordOf<'stocktake-line'>[]>;
  openHeldActs(): Promise<RecordOf<'held-act'>[]>;
  postingsOfEntry(entryId: string): Promise<RecordOf<'posting'>[]>;
  /** Harvests of this plot, ferments of this harvest, runs of this ferment, spirit lots of this run. */
  madeOf<K extends MadeKind>(kind: K, inputId: string): Promise<RecordOf<K>[]>;
  /** The ledger's lines that count in these months, both included, summed. */
  postingSums(months: { from: string; to: string }): Promise<PostingSum[]>;
}

export interface PostingSum {
  readonly accountId: string;
  readonly storeId: string | null;
  readonly cause: RecordOf<'posting'>['cause'];
  readonly ethanolMg: number;
  /** The part that happened in an earlier month than the one it counts in. */
  readonly ofEarlierMonthsMg: number;
}

/** Entries already written. */
export interface JournalStore {
  byId(id: string): Promise<JournalEntry | null>;
  last(): Promise<{ seq: number; hash: string } | null>;
  /** What the entry changed, for undoing it. */
  effectsOf(entryId: string): Promise<Effect[] | null>;
  reversalOf(entryId: string): Promise<string | null>;
  /** The newest entries of these kinds about a record that have not been taken back, newest first. */
  standingAbout(subject: string, kinds: readonly ActKind[]): Promise<JournalEntry[]>;
  append(entry: JournalEntry, effects: readonly Effect[]): Promise<void>;
}

/** One record an entry changed: what it was before (null when new), or, for things that add up, by how much. */
export type Effect =
  | {
      readonly mode: 'replace';
      readonly kind: RecordKind;
      readonly id: string;
      readonly before: Readonly<Record<string, unknown>> | null;
    }
  | {
      readonly mode: 'add';
      readonly kind: 'vat';
      readonly id: string;
      readonly waterMg: number;
      readonly ethanolMgByLot: Readonly<Record<string, number>>;
    }
  | {
      readonly mode: 'add';
      readonly kind: 'position';
      readonly id: string;
      readonly occupied: number;
    }
  | {
      readonly mode: 'add';
      readonly kind: 'blend-plan';
      readonly id: string;
      readonly drawn: { readonly fillingId: string; readonly ethanolMg: number };
      readonly sign: 1 | -1;
    };

/** What maturation expects of a filling on a day, and what it makes of a reading; null before any forecast exists. */
export interface ForecastPort {
  assess(input: {
    fillingId: string;
    takenAt: string;
    figures: LiquidFigures;
    uncertainties: { litres: number; percentVol: number };
  }): Promise<{ expected: ExpectedFigures; verdict: Gauge['verdict']; surety?: Surety } | null>;
}

export const NO_FORECAST: ForecastPort = { assess: async () => null };
