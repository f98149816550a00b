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
    const cask = await this.records.need('cask', id);
    const fillings = await this.records.where(
      'filling',
      sql`"caskId" = ${id}`,
      sql`"filledAt" DESC`,
    );
    const filling = fillings.find((f) => f.id === cask.fillingId) ?? null;
    // An empty cask still shows what was measured of what it held last.
    const told = filling ?? fillings[0] ?? null;
    const [gauges, events, samples] = await this.ofFilling(told);
    const subjects = [`cask:${id}`, ...fillings.map((f) => `filling:${f.id}`)];
    return {
      cask,
      url: urlOf(cask, originOf(this.settings)),
      store: await this.records.find('store', cask.storeId),
      zone: await this.records.find('zone', cask.zoneId),
      position: await this.records.find('position', cask.positionId),
      filling,
      account: await this.records.find('account', filling?.accountId ?? null),
      ageYears: filling && ageDays(filling, this.clock.instant()) / DAYS_PER_YEAR,
      lossSinceFill: filling && (await this.lossOf(filling, events)),
      gauges,
      events,
      samples,
      origins: told && (await this.origins.lots(told.lotShares)),
      earlierFillings: fillings.filter((f) => f.id !== cask.fillingId),
      history: await this.history.about(subjects, HISTORY_LINES),
    };
  }

  private async ofFilling(filling: Filling | null) {
    const condition = sql`"fillingId" = ${filling?.id ?? null}`;
    return Promise.all([
      this.records.where('gauge', condition, sql`"takenAt" DESC, "id"`),
      this.records.where('filling-event', condition, sql`"at", "id"`),
      this.records.where('sample', condition, sql`"takenAt" DESC, "id"`),
    ]);
  }

  /** What went and nobody took: fill and additions less withdrawals and what the book says now. */
  private async lossOf(
    filling: Filling,
    events: readonly FillingEvent[],
  ): Promise<CaskCard['lossSinceFill']> {
    const moved = (...kinds: FillingEvent['kind'][]) =>
      events
        .filter((event) => kinds.includes(event.kind))
        .reduce((sum, event) => sum + (event.bulkLitresAt20C ?? 0), 0);
    const { mg } = (await this.reader.one<{ mg: number }>(
      sql`SELECT COALESCE(SUM("ethanolMg"), 0) AS "mg" FROM "posting" WHERE "fillingId" = ${filling.id} AND "cause" = 'gauge-difference'`,
    )) ?? { mg: 0 };
    const days = ageDays(filling, filling.lastGaugedAt) - filling.agedDaysBefore;
    const litresPureAlcohol = 0 - litresPureAlcoholOfMg(mg);
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
