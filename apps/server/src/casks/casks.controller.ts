import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { makeCaskCode, makeSampleCode } from '@rundlet/identifiers';
import sql, { raw } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Input, Serves } from '../platform/endpoint-handler.ts';
import { Aisle } from './aisle.ts';
import { CaskCards } from './cask-card.ts';
import { CaskList } from './cask-list.ts';
import { ScanLookUp } from './scan.ts';

const { casks } = api;

@Controller()
export class CasksController {
  constructor(
    private readonly caskList: CaskList,
    private readonly cards: CaskCards,
    private readonly scans: ScanLookUp,
    private readonly aisles: Aisle,
    private readonly reader: Reader,
  ) {}

  @Serves(casks.list)
  list(@Input() { query }: InputOf<typeof casks.list>): Promise<AnswerOf<typeof casks.list>> {
    return this.caskList.page(query);
  }

  @Serves(casks.facets)
  async facets(): Promise<AnswerOf<typeof casks.facets>> {
    const [caskKinds, woodSpecies, previousContents] = await Promise.all([
      this.occurring('caskKind'),
      this.occurring('woodSpecies'),
      this.occurring('previousContents'),
    ]);
    return { caskKinds, woodSpecies, previousContents };
  }

  @Serves(casks.card)
  card(@Input() { params }: InputOf<typeof casks.card>): Promise<AnswerOf<typeof casks.card>> {
    return this.cards.of(params.id);
  }

  @Serves(casks.nextCodes)
  async nextCodes(
    @Input() { query }: InputOf<typeof casks.nextCodes>,
  ): Promise<AnswerOf<typeof casks.nextCodes>> {
    const after = (row: { last: number | null } | null): number => (row?.last ?? 0) + 1;
    const from = (first: number, make: (serial: number) => string): string[] =>
      Array.from({ length: query.count }, (_, i) => make(first + i));
    // A spare label's code is taken, though there is no cask for it yet.
    const casksAfter = after(
      await this.reader.one(
        sql`SELECT MAX("serial") AS "last" FROM (SELECT MAX("serial") AS "serial" FROM "cask"
            UNION ALL SELECT MAX("serial") AS "serial" FROM "spare_label") AS "both"`,
      ),
    );
    const samplesAfter = after(
      await this.reader.one(sql`SELECT MAX("serial") AS "last" FROM "sample"`),
    );
    return {
      caskCodes: from(casksAfter, makeCaskCode),
      sampleCodes: from(samplesAfter, makeSampleCode),
    };
  }

  @Serves(casks.scan)
  scan(@Input() { query }: InputOf<typeof casks.scan>): Promise<AnswerOf<typeof casks.scan>> {
    return this.scans.answer(query.text);
  }

  @Serves(casks.aisle)
  aisle(@Input() { params }: InputOf<typeof casks.aisle>): Promise<AnswerOf<typeof casks.aisle>> {
    return this.aisles.of(params.id);
  }

  /** Steps from each value to the next along the index, instead of reading every cask. */
  private async occurring(column: string): Promise<string[]> {
    const name = raw(`"${column}"`);
    const rows = await this.reader.all<{ value: string }>(
      sql`WITH RECURSIVE steps("value") AS (
            SELECT MIN(${name}) FROM "cask"
            UNION ALL SELECT (SELECT MIN(${name}) FROM "cask" WHERE ${name} > steps."value") FROM steps WHERE steps."value" IS NOT NULL
          ) SELECT "value" FROM steps WHERE "value" IS NOT NULL`,
    );
    return rows.map((row) => row.value);
  }
}
