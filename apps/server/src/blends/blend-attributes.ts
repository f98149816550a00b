/** What a cask's contents are, in the words that shares, counts and plans speak of. Runs in a worker thread. */
import type {
  Account,
  BlendAttribute,
  CaskResult,
  HarvestLot,
  Plot,
  Position,
  SpiritLot,
  Store,
  Zone,
} from '@rundlet/contracts';
import type { AttributeValue } from '@rundlet/blending';
import sql from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import type { FillingRecords } from '../maturation/histories.ts';
import type { PlaceWords } from './blend-candidates.ts';
import { scoreAttribute } from './blend-wishes.ts';

/** Origin of ethanol whose lot has no records behind it. */
export const UNKNOWN = 'unknown';

interface Named {
  readonly id: string;
  readonly code: string;
  readonly name?: string;
}

/** Everything attributes are read from, looked up once a blend. */
export class AttributeBook {
  readonly #lots: ReadonlyMap<string, SpiritLot>;
  readonly #plots: ReadonlyMap<string, Plot>;
  readonly #harvests: ReadonlyMap<string, HarvestLot>;
  readonly #accounts: ReadonlyMap<string, Account>;
  readonly #zones: ReadonlyMap<string, Zone>;
  readonly #stores: ReadonlyMap<string, Store>;
  readonly #scores: ReadonlyMap<string, Record<string, number>>;
  readonly #lotAttributes = new Map<string, LotAttributes>();

  private constructor(
    lots: ReadonlyMap<string, SpiritLot>,
    plots: ReadonlyMap<string, Plot>,
    harvests: ReadonlyMap<string, HarvestLot>,
    accounts: ReadonlyMap<string, Account>,
    zones: ReadonlyMap<string, Zone>,
    stores: ReadonlyMap<string, Store>,
    scores: ReadonlyMap<string, Record<string, number>>,
  ) {
    this.#lots = lots;
    this.#plots = plots;
    this.#harvests = harvests;
    this.#accounts = accounts;
    this.#zones = zones;
    this.#stores = stores;
    this.#scores = scores;
  }

  static async open(rows: Rows): Promise<AttributeBook> {
    return new AttributeBook(
      await all<SpiritLot>(rows, sql`SELECT "record" FROM "spirit_lot"`),
      await all<Plot>(rows, sql`SELECT "record" FROM "plot"`),
      await all<HarvestLot>(rows, sql`SELECT "record" FROM "harvest_lot"`),
      await all<Account>(rows, sql`SELECT "record" FROM "account"`),
      await all<Zone>(rows, sql`SELECT "record" FROM "zone"`),
      await all<Store>(rows, sql`SELECT "record" FROM "store"`),
      latestScores(
        await all<CaskResult>(rows, sql`SELECT "record" FROM "cask_result" ORDER BY "at", "id"`),
      ),
    );
  }

  storeCode = (id: string | null): string => this.#stores.get(id ?? '')?.code ?? UNKNOWN;
  zoneCode = (id: string | null): string => this.#zones.get(id ?? '')?.code ?? UNKNOWN;

  placeOf = ({ storeId, zoneId, row, bay, level, slot }: Position): PlaceWords => ({
    store: this.#stores.get(storeId)?.name ?? UNKNOWN,
    zone: this.#zones.get(zoneId)?.name ?? UNKNOWN,
    row,
    bay,
    level,
    slot,
  });

  of({ filling }: FillingRecords): Record<BlendAttribute, AttributeValue> {
    const lots = Object.entries(filling.lotShares);
    const through = (pick: (lot: LotAttributes) => Shares): AttributeValue =>
      single(
        mix(
          lots
            .map(([id, share]) => [this.#lot(id), share] as const)
            .map(([lot, share]) => [pick(lot), share]),
        ),
      );
    return {
      woodSpecies: filling.woodSpecies,
      caskKind: filling.caskKind,
      previousContents: filling.previousContents,
      fillNumber: filling.fillNumber,
      spiritLot: through((lot) => ({ [lot.code]: 1 })),
      plot: through((lot) => lot.plots),
      variety: through((lot) => lot.varieties),
      harvestYear: through((lot) => lot.years),
      account: this.#accounts.get(filling.accountId)?.code ?? UNKNOWN,
      zone: this.zoneCode(filling.zoneId),
      store: this.storeCode(filling.storeId),
    };
  }

  /** Latest figures of a panel or a laboratory, by what was measured. */
  scoresOf = (fillingId: string): Readonly<Record<string, number>> =>
    this.#scores.get(fillingId) ?? {};

  /** The value as attributes write it, from an id, a code or a name. */
  valueOf(attribute: BlendAttribute, given: string): string {
    const among: Iterable<Named> =
      {
        spiritLot: this.#lots,
        plot: this.#plots,
        account: this.#accounts,
        zone: this.#zones,
        store: this.#stores,
      }[attribute as string]?.values() ?? [];
    for (const { id, code, name } of among)
      if (id === given || code === given || name === given) return code;
    return given;
  }

  #lot(id: string): LotAttributes {
    let known = this.#lotAttributes.get(id);
    if (!known) this.#lotAttributes.set(id, (known = this.#describe(id)));
    return known;
  }

  #describe(id: string): LotAttributes {
    const lot = this.#lots.get(id);
    const none: Shares = { [UNKNOWN]: 1 };
    if (!lot) return { code: UNKNOWN, plots: none, varieties: none, years: none };
    const plots = Object.entries(lot.plotShares);
    const harvests = Object.entries(lot.harvestShares);
    const named = (
      entries: [string, number][],
      name: (id: string) => string | undefined,
    ): Shares =>
      entries.length === 0
        ? none
        : mix(entries.map(([of, share]) => [{ [name(of) ?? UNKNOWN]: 1 }, share]));
    return {
      code: lot.code,
      plots: named(plots, (of) => this.#plots.get(of)?.code),
      varieties: named(plots, (of) => this.#plots.get(of)?.variety),
      years: named(harvests, (of) => this.#harvests.get(of)?.harvestedOn.slice(0, 4)),
    };
  }
}

/** Of several results of one measure the latest counts. */
function latestScores(
  results: ReadonlyMap<string, CaskResult>,
): ReadonlyMap<string, Record<string, number>> {
  const scores = new Map<string, Record<string, number>>();
  for (const { fillingId, measure, value } of results.values()) {
    const known = scores.get(fillingId) ?? {};
    known[scoreAttribute(measure)] = value;
    scores.set(fillingId, known);
  }
  return scores;
}

type Shares = Readonly<Record<string, number>>;
interface LotAttributes {
  readonly code: string;
  readonly plots: Shares;
  readonly varieties: Shares;
  readonly years: Shares;
}

/** Weighted sum of shares, made to sum to 1. */
function mix(parts: readonly (readonly [Shares, number])[]): Shares {
  const sum: Record<string, number> = {};
  let total = 0;
  for (const [shares, weight] of parts)
    for (const [value, share] of Object.entries(shares)) {
      sum[value] = (sum[value] ?? 0) + share * weight;
      total += share * weight;
    }
  if (total === 0) return { [UNKNOWN]: 1 };
  return Object.fromEntries(Object.entries(sum).map(([value, share]) => [value, share / total]));
}

/** One origin alone is told as a word, which the planner handles faster. */
function single(shares: Shares): AttributeValue {
  const entries = Object.entries(shares);
  return entries.length === 1 && entries[0] ? entries[0][0] : shares;
}

async function all<T extends { id: string }>(
  rows: Rows,
  statement: ReturnType<typeof sql>,
): Promise<Map<string, T>> {
  const found = await rows.all<{ record: string }>(statement);
  return new Map(
    found.map(({ record }) => JSON.parse(record) as T).map((record) => [record.id, record]),
  );
}
