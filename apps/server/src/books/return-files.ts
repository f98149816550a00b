import { Inject, Injectable } from '@nestjs/common';
import type { api, InputOf, PostingView } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { History } from '../journal/history.ts';
import { Clock } from '../platform/clock.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { Deliveries } from './deliveries.ts';
import { MonthCloses } from './month-closes.ts';
import type { ReturnFacts } from './return-report.ts';
import { Returns, type PostingQuery } from './returns.ts';

/** All that a return says, with names for everything. */
@Injectable()
export class ReturnFiles {
  constructor(
    private readonly returns: Returns,
    private readonly closes: MonthCloses,
    private readonly deliveries: Deliveries,
    private readonly records: Records,
    private readonly history: History,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  async facts({
    from,
    to,
    unit,
    ...scope
  }: InputOf<typeof api.books.returnCsv>['query']): Promise<ReturnFacts> {
    const [accounts, stores] = await Promise.all([
      this.records.where('account', sql`1 = 1`),
      this.records.where('store', sql`1 = 1`),
    ]);
    const accountOf = (id: string) => accounts.find((a) => a.id === id)?.name ?? id;
    const storeOf = (id: string | null) => stores.find((s) => s.id === id)?.name ?? '';
    return {
      estateName: this.settings.estateName,
      from,
      to,
      unit,
      scope: [
        scope.accountId === undefined
          ? { own: 'own stock', customer: 'customers’ stock', all: 'every account' }[
              scope.accountKind ?? 'all'
            ]
          : accountOf(scope.accountId),
        scope.storeId === undefined ? 'every store' : storeOf(scope.storeId),
      ].join(', '),
      rows: await this.returns.months(from, to, scope),
      closed: await this.closes.between(from, to),
      late: await this.postings({ from, to, ofEarlierMonths: true, ...scope }),
      deliveries: await this.deliveries.between(from, to, scope),
      accountOf,
      storeOf,
      madeAt: this.clock.instant(),
    };
  }

  async postings(query: PostingQuery): Promise<PostingView[]> {
    const postings = await this.returns.postings(query);
    const words = await this.history.wordsOf(postings.map((p) => p.entryId));
    return postings.map(({ ethanolMg, code, ...posting }) => ({
      ...posting,
      vesselCode: code ?? '',
      litresPureAlcohol: litresPureAlcoholOfMg(ethanolMg),
      words: words.get(posting.entryId) ?? '',
    }));
  }
}
