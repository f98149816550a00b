import { Injectable } from '@nestjs/common';
import type { BlendVocabulary, RecordOf } from '@rundlet/contracts';
import sql, { join, raw } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { blendCosts } from './blend-costs.ts';

type Values = NonNullable<BlendVocabulary['values']['zone']>;

/** Casks put on hold at some time are looked at; an estate that held more than this names its latest. */
const MOST_HELD = 2000;

/** What a request can name: the words that stand in the stock of maturing casks. */
@Injectable()
export class BlendWords {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
  ) {}

  async vocabulary(): Promise<BlendVocabulary> {
    const { costs, assumed } = await blendCosts(this.reader);
    const plots = await this.#all('plot');
    const harvests = await this.#all('harvest-lot');
    return {
      values: {
        woodSpecies: await this.#occurring('woodSpecies'),
        caskKind: await this.#occurring('caskKind'),
        previousContents: await this.#occurring('previousContents'),
        fillNumber: await this.#fillNumbers(),
        spiritLot: coded(await this.#all('spirit-lot')),
        plot: coded(plots),
        variety: words(plots.map(({ variety }) => variety)),
        harvestYear: words(harvests.map(({ harvestedOn }) => harvestedOn.slice(0, 4))),
        account: coded(await this.#all('account')),
        zone: coded(await this.#all('zone')),
        store: coded(await this.#all('store')),
      },
      holds: await this.#holds(),
      scores: scoresIn(await this.records.where('cask-result', sql`1 = 1`)),
      costs: { ...costs, assumed },
    };
  }

  #all<K extends 'spirit-lot' | 'plot' | 'harvest-lot' | 'account' | 'zone' | 'store'>(
    kind: K,
  ): Promise<RecordOf<K>[]> {
    return this.records.where(kind, sql`1 = 1`);
  }

  /** From index to index: a stock has many casks and few kinds. */
  async #occurring(column: 'woodSpecies' | 'caskKind' | 'previousContents'): Promise<Values> {
    const name = raw(`"${column}"`);
    const rows = await this.reader.all<{ value: string }>(
      sql`WITH RECURSIVE steps("value") AS (
            SELECT MIN(${name}) FROM "cask"
            UNION ALL SELECT (SELECT MIN(${name}) FROM "cask" WHERE ${name} > steps."value") FROM steps WHERE steps."value" IS NOT NULL
          ) SELECT "value" FROM steps WHERE "value" IS NOT NULL`,
    );
    return words(rows.map(({ value }) => value));
  }

  async #fillNumbers(): Promise<Values> {
    const rows = await this.reader.all<{ value: number }>(
      sql`SELECT DISTINCT "fillNumber" AS "value" FROM "filling" WHERE "status" = 'maturing'`,
    );
    return words(rows.map(({ value }) => String(value)));
  }

  /** By way of the journal, where acts that held a cask are few; fillings are many. */
  async #holds(): Promise<string[]> {
    const rows = await this.reader.all<{ body: string }>(
      sql`SELECT "body" FROM "journal_entry" WHERE "kind" = 'cask.hold' ORDER BY "seq" DESC LIMIT ${MOST_HELD}`,
    );
    const caskIds = [
      ...new Set(rows.map(({ body }) => (JSON.parse(body) as { caskId: string }).caskId)),
    ];
    if (caskIds.length === 0) return [];
    const fillings = await this.records.where(
      'filling',
      sql`"caskId" IN (${join(caskIds)}) AND "status" = 'maturing'`,
    );
    return words(fillings.flatMap(({ holdReason }) => holdReason ?? [])).map(({ value }) => value);
  }
}

/** What has been measured or scored, with its unit and on how many casks. */
function scoresIn(results: readonly RecordOf<'cask-result'>[]): BlendVocabulary['scores'] {
  const measures = new Map<string, { unit: string; fillings: Set<string> }>();
  for (const { measure, unit, fillingId } of results) {
    const known = measures.get(measure) ?? { unit, fillings: new Set() };
    known.fillings.add(fillingId);
    measures.set(measure, known);
  }
  return [...measures]
    .map(([name, { unit, fillings }]) => ({ name, unit, casks: fillings.size }))
    .sort((a, b) => byName(a.name, b.name));
}

function coded(rows: readonly { readonly code: string; readonly name?: string }[]): Values {
  return rows
    .map(({ code, name }) => ({
      value: code,
      label: name === undefined || name === code ? code : `${name} (${code})`,
    }))
    .sort((a, b) => byName(a.label, b.label));
}

const words = (values: readonly string[]): Values =>
  [...new Set(values)].sort(byName).map((value) => ({ value, label: value }));

const byName = (a: string, b: string): number => a.localeCompare(b, 'en', { numeric: true });
