import { Injectable } from '@nestjs/common';
import type { Position, Stocktake, StocktakeLine, StocktakeProgress } from '@rundlet/contracts';
import { mostWrong, needsResolution } from '@rundlet/domain';
import sql, { join } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

/** A worse store would have shown more wrong casks in at least this share of samples. */
const CONFIDENCE = 0.95;

/** Where a count stands. */
@Injectable()
export class StocktakeProgressOf {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
  ) {}

  /** @throws NotFound */
  async one(id: string): Promise<StocktakeProgress> {
    const stocktake = await this.records.need('stocktake', id);
    const lines = await this.records.where('stocktake-line', sql`"stocktakeId" = ${id}`);
    const positions = await this.records.byId(
      'position',
      lines.flatMap((line) => placesOf(line)),
    );
    const zones = await this.records.byId(
      'zone',
      [...positions.values()].map(({ zoneId }) => zoneId),
    );
    return {
      rows: byRow(lines, positions, (zoneId) => zones.get(zoneId)?.name ?? ''),
      counters: await this.counters(lines),
      unsettled: lines.filter(needsResolution).length,
      recount: toRecount(lines, positions),
      places: placeStates(lines),
      sample: sampleSays(stocktake, lines),
    };
  }

  private async counters(lines: readonly StocktakeLine[]): Promise<StocktakeProgress['counters']> {
    const byId = new Map<string, { casks: number; lastAt: string }>();
    for (const line of lines)
      for (const id of line.counters) {
        const at = line.foundAt ?? line.firstCountedAt ?? '';
        const so = byId.get(id) ?? { casks: 0, lastAt: at };
        byId.set(id, { casks: so.casks + 1, lastAt: so.lastAt > at ? so.lastAt : at });
      }
    if (byId.size === 0) return [];
    const ids = join([...byId.keys()]);
    const names = await this.reader.all<{ id: string; name: string }>(
      sql`SELECT "id", "name" FROM "person" WHERE "id" IN (${ids})
          UNION ALL SELECT "id", "label" AS "name" FROM "device_token" WHERE "id" IN (${ids})`,
    );
    const nameOf = new Map(names.map((row) => [row.id, row.name]));
    return [...byId]
      .map(([id, counted]) => ({ name: nameOf.get(id) ?? id, ...counted }))
      .sort((a, b) => b.casks - a.casks);
  }
}

type Positions = ReadonlyMap<string, Position>;
const placesOf = (line: StocktakeLine): string[] =>
  [line.expectedPositionId, line.foundPositionId].filter((id) => id !== null);
const isSeen = (line: StocktakeLine): boolean => line.timesCounted + line.recounts > 0;
const isDifference = ({ state }: StocktakeLine): boolean =>
  state === 'misplaced' || state === 'missing' || state === 'unknown';

function byRow(
  lines: readonly StocktakeLine[],
  positions: Positions,
  zoneName: (id: string) => string,
): StocktakeProgress['rows'] {
  const rows = new Map<string, StocktakeProgress['rows'][number] & { walkOrder: number }>();
  for (const line of lines) {
    const position = positions.get(line.expectedPositionId ?? line.foundPositionId ?? '');
    if (!position) continue;
    const { zoneId, row, walkOrder } = position;
    const key = `${zoneId}\u0000${row}`;
    const so = rows.get(key) ?? {
      zoneId,
      zoneName: zoneName(zoneId),
      row,
      expected: 0,
      seen: 0,
      differences: 0,
      walkOrder,
    };
    const expected = line.expectedPositionId !== null && line.state !== 'left';
    rows.set(key, {
      ...so,
      expected: so.expected + (expected ? 1 : 0),
      seen: so.seen + (expected && isSeen(line) ? 1 : 0),
      differences: so.differences + (isDifference(line) ? 1 : 0),
      walkOrder: Math.min(so.walkOrder, walkOrder),
    });
  }
  return [...rows.values()]
    .sort((a, b) => a.walkOrder - b.walkOrder)
    .map(({ zoneId, zoneName: name, row, expected, seen, differences }) => ({
      zoneId,
      zoneName: name,
      row,
      expected,
      seen,
      differences,
    }));
}

function toRecount(
  lines: readonly StocktakeLine[],
  positions: Positions,
): StocktakeProgress['recount'] {
  const placeOf = (line: StocktakeLine) => line.foundPositionId ?? line.expectedPositionId;
  const orderOf = (line: StocktakeLine) =>
    positions.get(placeOf(line) ?? '')?.walkOrder ?? Number.MAX_SAFE_INTEGER;
  return lines
    .filter((line) => line.recountAskedAt !== null && line.recounts === 0)
    .sort((a, b) => orderOf(a) - orderOf(b) || (a.id < b.id ? -1 : 1))
    .map((line) => ({
      lineId: line.id,
      caskId: line.caskId,
      code: line.code,
      positionId: placeOf(line),
    }));
}

function placeStates(lines: readonly StocktakeLine[]): StocktakeProgress['places'] {
  const RANK = { seen: 0, 'to-find': 1, difference: 2 } as const;
  const states = new Map<string, keyof typeof RANK>();
  for (const line of lines) {
    if (line.state === 'left') continue;
    const state = isDifference(line) ? 'difference' : isSeen(line) ? 'seen' : 'to-find';
    for (const id of placesOf(line)) {
      const so = states.get(id);
      if (so === undefined || RANK[state] > RANK[so]) states.set(id, state);
    }
  }
  return [...states].map(([positionId, state]) => ({ positionId, state }));
}

function sampleSays(
  stocktake: Stocktake,
  lines: readonly StocktakeLine[],
): StocktakeProgress['sample'] {
  const { sample } = stocktake.scope;
  if (!sample) return null;
  const drawn = lines.filter((line) => line.expectedPositionId !== null);
  const settled = drawn.filter((line) => isSeen(line) || line.state === 'missing');
  const wrong = drawn.filter((line) => isDifference(line)).length;
  const whole = settled.length === drawn.length && drawn.length > 0;
  return {
    population: stocktake.population,
    drawn: drawn.length,
    seed: sample.seed,
    settled: settled.length,
    wrong,
    confidence: CONFIDENCE,
    // A sample that was only partly looked at is no random one any more.
    mostWrong: whole ? mostWrong(stocktake.population, drawn.length, wrong, CONFIDENCE) : null,
  };
}
