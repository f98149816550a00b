import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf, type Vat, type VatView } from '@rundlet/contracts';
import { lotShares } from '@rundlet/domain';
import sql, { type Sql } from 'sql-template-tag';
import { allOf, beyond, orderBy, pageOf, readKey } from '../database/page.ts';
import { startsWith } from '../database/ranges.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { OriginsOf } from '../lineage/origins.ts';
import { Input, Serves } from '../platform/endpoint-handler.ts';
import { OverviewOf } from './overview.ts';
import { Putaway } from './putaway.ts';
import { Stores } from './stores.ts';
import { Walking } from './walking.ts';
import { ZoneMap } from './zone-map.ts';

const { places } = api;

@Controller()
export class PlacesController {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly origins: OriginsOf,
    private readonly overviews: OverviewOf,
    private readonly allStores: Stores,
    private readonly zoneMap: ZoneMap,
    private readonly putaway: Putaway,
    private readonly walking: Walking,
  ) {}

  @Serves(places.overview)
  overview(): Promise<AnswerOf<typeof places.overview>> {
    return this.overviews.now();
  }

  @Serves(places.stores)
  async stores(): Promise<AnswerOf<typeof places.stores>> {
    return { rows: await this.allStores.all() };
  }

  @Serves(places.map)
  map(
    @Input() { params, query }: InputOf<typeof places.map>,
  ): Promise<AnswerOf<typeof places.map>> {
    return this.zoneMap.of(params.id, query.positionId);
  }

  @Serves(places.positions)
  async positions(
    @Input() { query }: InputOf<typeof places.positions>,
  ): Promise<AnswerOf<typeof places.positions>> {
    const order = [sql`"walkOrder"`, sql`"id"`];
    const conditions: Sql[] = [];
    if (query.zoneId !== undefined) conditions.push(sql`"zoneId" = ${query.zoneId}`);
    if (query.storeId !== undefined) conditions.push(sql`"storeId" = ${query.storeId}`);
    if (query.onlyFree === true) conditions.push(sql`"occupied" < "capacity"`);
    if (query.search) conditions.push(startsWith(sql`"code"`, query.search.trim().toUpperCase()));
    if (query.after !== undefined)
      conditions.push(beyond(order, 'asc', readKey(query.after, ['number', 'string'])));
    const rows = await this.reader.all<{ walkOrder: number; id: string; record: string }>(
      sql`SELECT "walkOrder", "id", "record" FROM "position" WHERE ${allOf(conditions)} ORDER BY ${orderBy(order, 'asc')} LIMIT ${query.limit + 1}`,
    );
    const page = pageOf(rows, query.limit, (row) => [row.walkOrder, row.id]);
    return {
      rows: page.rows.map(
        (row) => JSON.parse(row.record) as AnswerOf<typeof places.positions>['rows'][number],
      ),
      next: page.next,
    };
  }

  @Serves(places.suggest)
  async suggest(
    @Input() { query }: InputOf<typeof places.suggest>,
  ): Promise<AnswerOf<typeof places.suggest>> {
    return { rows: await this.putaway.suggest(query) };
  }

  @Serves(places.walk)
  async walk(
    @Input() { body }: InputOf<typeof places.walk>,
  ): Promise<AnswerOf<typeof places.walk>> {
    return { stops: await this.walking.past(body.caskIds) };
  }

  @Serves(places.accounts)
  async accounts(): Promise<AnswerOf<typeof places.accounts>> {
    return { rows: await this.records.where('account', sql`1 = 1`, sql`"code"`) };
  }

  @Serves(places.vats)
  async vats(): Promise<AnswerOf<typeof places.vats>> {
    return { rows: await this.view(await this.records.where('vat', sql`1 = 1`, sql`"code"`)) };
  }

  @Serves(places.vat)
  async vat(@Input() { params }: InputOf<typeof places.vat>): Promise<AnswerOf<typeof places.vat>> {
    const [view] = await this.view([await this.records.need('vat', params.id)]);
    return view as VatView;
  }

  private async view(vats: readonly Vat[]): Promise<VatView[]> {
    const origins = await this.origins.many(vats.map((vat) => lotShares(vat.content)));
    return vats.map((vat, i) => ({
      vat,
      origins: origins[i] ?? { lots: [], harvests: [], plots: [] },
    }));
  }
}
