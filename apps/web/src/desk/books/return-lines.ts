import { POSTING_CAUSES, type Posting, type ReturnLine } from '@rundlet/contracts';
import { lineKey, monthAfter } from '@rundlet/domain';

type Cause = Posting['cause'];

/** Causes that occur, in the ledger's own order. */
export function causesIn(rows: readonly ReturnLine[]): Cause[] {
  const seen = new Set(rows.flatMap((r) => r.movements.map((m) => m.cause)));
  return POSTING_CAUSES.filter((cause) => seen.has(cause));
}

/** The month this many months before another. */
export const monthsBack = (month: string, n: number): string => monthAfter(month, -n);

export const MONTH = /^\d{4}-(0[1-9]|1[0-2])$/;

/** Several lines of the return as one. */
export interface Together {
  readonly key: string;
  readonly month: string;
  /** Whose alcohol it is, in words. */
  readonly who: string;
  readonly store: string;
  /** Null where the line is not of one account. */
  readonly accountId: string | null;
  readonly storeId: string | null;
  readonly opening: number;
  readonly movements: ReadonlyMap<Cause, number>;
  readonly ofEarlierMonths: number;
  readonly lost: number;
  readonly aboveAllowance: number;
  readonly closing: number;
}

/** What one line of the table is for. */
export const GROUPINGS = {
  store: 'each account and store',
  account: 'each account',
  kind: 'own stock and customers’',
  month: 'the whole month',
} as const;
export type Grouping = keyof typeof GROUPINGS;

export interface Names {
  readonly account: (id: string) => string;
  readonly isOwn: (id: string) => boolean;
  readonly store: (id: string | null) => string;
}

/** The return's lines put together by month and whatever else is wanted; every sum is of the same figures. */
export function together(rows: readonly ReturnLine[], by: Grouping, names: Names): Together[] {
  const groups = new Map<string, ReturnLine[]>();
  for (const row of rows) {
    const part = {
      store: lineKey(row),
      account: row.accountId,
      kind: names.isOwn(row.accountId) ? '0' : '1',
      month: '',
    }[by];
    const key = `${row.month}|${part}`;
    groups.set(key, [...(groups.get(key) ?? []), row]);
  }
  return [...groups]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([key, lines]) => {
      const [first] = lines;
      if (!first) return [];
      const sum = (of: (line: ReturnLine) => number) =>
        lines.reduce((total, line) => total + of(line), 0);
      const { accountId, month } = first;
      const movements = new Map<Cause, number>();
      for (const { cause, litresPureAlcohol } of lines.flatMap((line) => line.movements))
        movements.set(cause, (movements.get(cause) ?? 0) + litresPureAlcohol);
      return {
        key,
        month,
        who: {
          store: names.account(accountId),
          account: names.account(accountId),
          kind: names.isOwn(accountId) ? 'own stock' : 'customers',
          month: 'everyone',
        }[by],
        store: by === 'store' ? names.store(first.storeId) : '',
        accountId: by === 'store' || by === 'account' ? accountId : null,
        storeId: by === 'store' ? first.storeId : null,
        opening: sum((line) => line.openingLitresPureAlcohol),
        movements,
        ofEarlierMonths: sum((line) =>
          line.movements.reduce((total, m) => total + m.ofEarlierMonthsLitresPureAlcohol, 0),
        ),
        lost: sum((line) => line.losses.reduce((total, l) => total + l.lossLitresPureAlcohol, 0)),
        aboveAllowance: sum((line) =>
          line.losses.reduce((total, l) => total + l.aboveLitresPureAlcohol, 0),
        ),
        closing: sum((line) => line.closingLitresPureAlcohol),
      };
    });
}
