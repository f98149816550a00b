import { Inject, Injectable } from '@nestjs/common';
import type { Cask, CaskCard, Filling, FillingEvent } from '@rundlet/contracts';
import { ageDays, litresPureAlcoholOfMg } from '@rundlet/domain';
import { caskUrl, checkCaskCode } from '@rundlet/identifiers';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { History } from '../journal/history.ts';
import { OriginsOf } from '../lineage/origins.ts';
import { Clock } from '../platform/clock.ts';
import { NotFound } from '../platform/refusals.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';

const DAYS_PER_YEAR = 365.25;
/** Over a shorter time a loss per year says more about the reading than about the cask. */
const LEAST_DAYS_FOR_A_RATE = 30;
const HISTORY_LINES = 100;

/** Everything the cask's card shows. */
@Injectable()
export class CaskCards {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly history: History,
    private readonly origins: OriginsOf,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** @throws NotFound */
  async of(id: string): Promise<CaskCard> {
    const { cask: casks, filling: fillings } = await this.records.together({
      cask: sql`"id" = ${id}`,
      filling: sql`"caskId" = ${id}`,
    });
    const [cask] = casks;
    if (!cask) throw new NotFound(`There is no cask ${id}.`);
    fillings.sort((a, b) => (a.filledAt < b.filledAt ? 1 : -1));
    const filling = fillings.find((f) => f.id === cask.fillingId) ?? null;
    // An empty cask still shows what was measured of what it held last.
    const told = filling ?? fillings[0] ?? null;
    const ofTold = sql`"fillingId" = ${told?.id ?? null}`;
    const [around, lostMg, origins, history] = await Promise.all([
      this.records.together({
        store: sql`"id" = ${cask.storeId}`,
        zone: sql`"id" = ${cask.zoneId}`,
        position: sql`"id" = ${cask.positionId}`,
        account: sql`"id" = ${filling?.accountId ?? null}`,
        gauge: ofTold,
        'filling-event': ofTold,
        sample: ofTold,
      }),
      filling && this.lostMg(filling.id),
      told && this.origins.lots(told.lotShares),
      this.history.about([`cask:${id}`, ...fillings.map((f) => `filling:${f.id}`)], HISTORY_LINES),
    ]);
    const { store, zone, position, account, gauge, sample, 'filling-event': events } = around;
    return {
      cask,
      url: urlOf(cask, originOf(this.settings)),
      store: store[0] ?? null,
      zone: zone[0] ?? null,
      position: position[0] ?? null,
      filling,
      account: account[0] ?? null,
      ageYears: filling && ageDays(filling, this.clock.instant()) / DAYS_PER_YEAR,
      lossSinceFill: filling && lossOf(filling, events, lostMg ?? 0),
      gauges: inOrder(gauge, 'takenAt').reverse(),
      events: inOrder(events, 'at'),
      samples: inOrder(sample, 'takenAt').reverse(),
      origins,
      earlierFillings: fillings.filter((f) => f.id !== cask.fillingId),
      history,
    };
  }

  /** What gauges found missing, mg of ethanol; below zero. */
  private async lostMg(fillingId: string): Promise<number> {
    const row = await this.reader.one<{ mg: number }>(
      sql`SELECT COALESCE(SUM("ethanolMg"), 0) AS "mg" FROM "posting" WHERE "fillingId" = ${fillingId} AND "cause" = 'gauge-difference'`,
    );
    return row?.mg ?? 0;
  }
}

/** By an instant, and the id where it is the same. */
function inOrder<K extends string, R extends Record<K | 'id', string>>(
  records: readonly R[],
  by: K,
): R[] {
  return [...records].sort((a, b) => (`${a[by]} ${a.id}` < `${b[by]} ${b.id}` ? -1 : 1));
}

/** What went and nobody took: fill and additions less withdrawals and what the book says now. */
function lossOf(
  filling: Filling,
  events: readonly FillingEvent[],
  lostMg: number,
): CaskCard['lossSinceFill'] {
  const moved = (...kinds: FillingEvent['kind'][]) =>
    events
      .filter((event) => kinds.includes(event.kind))
      .reduce((sum, event) => sum + (event.bulkLitresAt20C ?? 0), 0);
  const days = ageDays(filling, filling.lastGaugedAt) - filling.agedDaysBefore;
  const litresPureAlcohol = 0 - litresPureAlcoholOfMg(lostMg);
  return {
    bulkLitres:
      filling.fillFigures.bulkLitresAt20C +
      moved('top-up') -
      moved('sample', 'part-drawn') -
      filling.figures.bulkLitresAt20C,
    litresPureAlcohol,
    percentOfOriginalPerYear: yearlyLossPercent(
      litresPureAlcohol,
      filling.fillFigures.litresPureAlcohol,
      days,
    ),
  };
}

/** Loss in % of the original alcohol per year, from fill to the last gauge; null when that is too short a time. */
export function yearlyLossPercent(
  lostLitres: number,
  originalLitres: number,
  days: number,
): number | null {
  if (days < LEAST_DAYS_FOR_A_RATE || originalLitres <= 0) return null;
  return ((lostLitres / originalLitres) * 100 * DAYS_PER_YEAR) / days;
}

/** The address behind the label's QR code. */
export function urlOf(cask: Pick<Cask, 'code' | 'giai'>, origin: string): string {
  if (cask.giai !== null) return caskUrl({ origin, giai: cask.giai });
  return checkCaskCode(cask.code).status === 'ok'
    ? caskUrl({ origin, code: cask.code })
    : `${origin}/c/${encodeURIComponent(cask.code)}`;
}
