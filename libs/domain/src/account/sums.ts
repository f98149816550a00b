import type { Posting } from '@rundlet/contracts';
import type { PostingSum } from '../journal/ports.ts';

/** What tells one line of the account from another: whose alcohol, and in which store. */
export const lineKey = ({ accountId, storeId }: Pick<Posting, 'accountId' | 'storeId'>): string =>
  `${accountId}|${storeId ?? ''}`;

/** Sums put together by account, store and cause, in that order. */
export function addUp(sums: Iterable<PostingSum>): PostingSum[] {
  const total = new Map<string, PostingSum>();
  for (const sum of sums) addTo(total, sum);
  return [...total].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, sum]) => sum);
}

function addTo(total: Map<string, PostingSum>, sum: PostingSum): void {
  const key = `${lineKey(sum)}|${sum.cause}`;
  const so = total.get(key);
  total.set(
    key,
    so
      ? {
          ...so,
          ethanolMg: so.ethanolMg + sum.ethanolMg,
          ofEarlierMonthsMg: so.ofEarlierMonthsMg + sum.ofEarlierMonthsMg,
        }
      : sum,
  );
}

/** Whether a line counts in the alcohol account, which is the ledger of what is under duty suspension. */
export const isOfAccount = ({ dutyStatus }: Pick<Posting, 'dutyStatus'>): boolean =>
  dutyStatus === 'suspended';

/** A line of the ledger as a sum of one. */
export const sumOf = ({
  accountId,
  storeId,
  cause,
  ethanolMg,
  at,
  month,
}: Posting): PostingSum => ({
  accountId,
  storeId,
  cause,
  ethanolMg,
  ofEarlierMonthsMg: at.slice(0, 7) < month ? ethanolMg : 0,
});

/** The ledger's sums by month, kept up line by line. */
export class MonthSums {
  readonly #months = new Map<string, Map<string, PostingSum>>();

  add(posting: Posting): void {
    if (!isOfAccount(posting)) return;
    let month = this.#months.get(posting.month);
    if (!month) this.#months.set(posting.month, (month = new Map<string, PostingSum>()));
    addTo(month, sumOf(posting));
  }

  of({ from, to }: { from: string; to: string }): PostingSum[] {
    return addUp(
      [...this.#months].flatMap(([month, sums]) =>
        month >= from && month <= to ? [...sums.values()] : [],
      ),
    );
  }
}
