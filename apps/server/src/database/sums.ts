/**
 * Sums that are kept up as records change, so that what is shown of a whole estate need not be added up each time it is looked at.
 * All are of whole numbers: what was added is taken away again exactly.
 */
import type { RecordKind, RecordOf } from '@rundlet/contracts';
import { isOfAccount } from '@rundlet/domain';
import sql, { raw } from 'sql-template-tag';
import { COUNT, primary, text, WHOLE } from './column-types.ts';
import type { WritableRows, Writes } from './rows.ts';
import { ethanolMgOf, oakFrom, stateTableOf } from './state-tables.ts';
import type { TableDeclaration } from './table.ts';

type Line = readonly [key: readonly string[], amounts: readonly number[]];
interface Sum<K extends RecordKind> extends TableDeclaration {
  readonly kind: K;
  /** What a record counts for, in the order of the table's columns: those of the key, then the amounts. */
  readonly of: (record: RecordOf<K>) => readonly Line[];
  /** The last amount counts these once however many of their records fall under one key; they come one after another. */
  readonly distinct?: (record: RecordOf<K>) => string;
}
const sumOf = <K extends RecordKind>(sum: Omit<Sum<K>, 'indexes'>): Sum<RecordKind> =>
  ({ ...sum, indexes: [] }) as never;

/** Lines that are none of the account's count for nothing. */
const ofAccount =
  (of: Sum<'posting'>['of']): Sum<'posting'>['of'] =>
  (posting) =>
    isOfAccount(posting) ? of(posting) : [];

/** Stands for no store, or no zone: a part of a key can't be null. */
export const NOWHERE = '';
const DATE_LENGTH = 10;
/** Litres are summed in whole millionths. */
export const PER_LITRE = 1e6;

const SUMS: readonly Sum<RecordKind>[] = [
  sumOf({
    name: 'stock_sum',
    kind: 'filling',
    columns: {
      dimension: primary(text(12)),
      key: primary(text(36)),
      casks: COUNT,
      bulkMicrolitres: WHOLE,
      pureMicrolitres: WHOLE,
      ethanolMg: WHOLE,
    },
    of: (filling) => {
      if (filling.status !== 'maturing') return [];
      const { bulkLitresAt20C, litresPureAlcohol } = filling.figures;
      const amounts = [
        1,
        Math.round(bulkLitresAt20C * PER_LITRE),
        Math.round(litresPureAlcohol * PER_LITRE),
        ethanolMgOf(filling.content),
      ];
      return [
        [['store', filling.storeId ?? NOWHERE], amounts],
        [['zone', filling.zoneId ?? NOWHERE], amounts],
        [['account', filling.accountId], amounts],
        [['oak-date', oakFrom(filling).slice(0, DATE_LENGTH)], amounts],
      ];
    },
  }),
  sumOf({
    name: 'room_sum',
    kind: 'position',
    columns: { zoneId: primary(text(36)), positions: COUNT, capacity: COUNT, occupied: COUNT },
    of: ({ zoneId, capacity, occupied }) => [[[zoneId], [1, capacity, occupied]]],
  }),
  sumOf({
    name: 'posting_sum',
    kind: 'posting',
    columns: {
      month: primary(text(7)),
      accountId: primary(text(36)),
      storeId: primary(text(36)),
      cause: primary(text(24)),
      ethanolMg: WHOLE,
      caskMg: WHOLE,
      ofEarlierMonthsMg: WHOLE,
      entries: COUNT,
    },
    of: ofAccount(({ month, accountId, storeId, cause, ethanolMg, vesselKind, at }) => [
      [
        [month, accountId, storeId ?? NOWHERE, cause],
        [
          ethanolMg,
          vesselKind === 'cask' ? ethanolMg : 0,
          at.slice(0, 7) < month ? ethanolMg : 0,
          1,
        ],
      ],
    ]),
    distinct: ({ entryId }) => entryId,
  }),
  sumOf({
    name: 'posting_balance',
    kind: 'posting',
    columns: { accountId: primary(text(36)), storeId: primary(text(36)), ethanolMg: WHOLE },
    of: ofAccount(({ accountId, storeId, ethanolMg }) => [
      [[accountId, storeId ?? NOWHERE], [ethanolMg]],
    ]),
  }),
];

export const SUM_TABLES: readonly TableDeclaration[] = SUMS;

/** Columns of a table of sums: those of the key, then the amounts. */
export const columnsOfSum = (table: string): string[] =>
  SUMS.flatMap(({ name, columns }) => (name === table ? Object.keys(columns) : []));

/** Kinds of records that are summed. */
export const SUMMED_KINDS: ReadonlySet<RecordKind> = new Set(SUMS.map((sum) => sum.kind));

interface Added {
  readonly key: readonly string[];
  readonly amounts: number[];
}

/** By how much the sums change. */
export class SumChanges {
  readonly #byTable = new Map<string, Map<string, Added>>();
  /** Keys of sums that the one named has been counted under. */
  readonly #counted = { of: '', under: new Set<string>() };

  /** A record that was so is now so; null where there was none, or is none any more. */
  note<K extends RecordKind>(kind: K, before: RecordOf<K> | null, after: RecordOf<K> | null): void {
    for (const sum of SUMS)
      if (sum.kind === kind) {
        if (before) this.#add(sum, before, -1);
        if (after) this.#add(sum, after, 1);
      }
  }

  /** Rows of a sum's table by which it changes, in the order of its columns. */
  rowsOf(name: string): (string | number)[][] {
    return [...(this.#byTable.get(name)?.values() ?? [])]
      .filter(({ amounts }) => amounts.some((amount) => amount !== 0))
      .map(({ key, amounts }) => [...key, ...amounts]);
  }

  async write(writes: Pick<Writes, 'addMany'>): Promise<void> {
    for (const { name, columns } of SUMS) {
      const rows = this.rowsOf(name);
      const keys = Object.keys(columns).filter((column) => columns[column]?.primary);
      if (rows.length > 0) await writes.addMany(name, Object.keys(columns), rows, keys);
    }
  }

  #add(sum: Sum<RecordKind>, record: RecordOf<RecordKind>, sign: 1 | -1): void {
    let ofTable = this.#byTable.get(sum.name);
    if (!ofTable) this.#byTable.set(sum.name, (ofTable = new Map<string, Added>()));
    const counted = this.#counted;
    const one = sum.distinct?.(record) ?? counted.of;
    if (one !== counted.of) {
      counted.of = one;
      counted.under.clear();
    }
    for (const [key, amounts] of sum.of(record)) {
      const named = key.join('|');
      const so = ofTable.get(named) ?? { key, amounts: amounts.map(() => 0) };
      const once = `${sum.name}|${named}`;
      const again = sum.distinct !== undefined && counted.under.has(once);
      if (sum.distinct) counted.under.add(once);
      const last = amounts.length - 1;
      for (const [i, amount] of amounts.entries())
        so.amounts[i] = (so.amounts[i] ?? 0) + (again && i === last ? 0 : sign * amount);
      ofTable.set(named, so);
    }
  }
}

const CHUNK = 2000;

/** Adds everything up anew from the state tables. */
export async function sumAnew(tx: WritableRows): Promise<void> {
  for (const { name } of SUMS) await tx.run(sql`DELETE FROM ${raw(`"${name}"`)}`);
  const changes = new SumChanges();
  for (const kind of SUMMED_KINDS)
    for (let after = ''; ;) {
      const rows = await tx.all<{ id: string; record: string }>(
        sql`SELECT "id", "record" FROM ${raw(`"${stateTableOf(kind).name}"`)} WHERE "id" > ${after} ORDER BY "id" LIMIT ${CHUNK}`,
      );
      for (const { record } of rows) changes.note(kind, null, JSON.parse(record) as never);
      const last = rows.at(-1);
      if (!last) break;
      after = last.id;
    }
  await changes.write(tx);
}
