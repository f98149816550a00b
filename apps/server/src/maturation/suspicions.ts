import { Injectable } from '@nestjs/common';
import type { Filling, Gauge, Suspicion } from '@rundlet/contracts';
import sql, { empty } from 'sql-template-tag';
import { isMaturing } from '../database/ranges.ts';
import { Reader } from '../database/reader.ts';

const MOST = 500;

/** What gauges have made suspect and nobody has settled. */
@Injectable()
export class Suspicions {
  constructor(private readonly reader: Reader) {}

  /** Leaks first, then the surest, then the newest. */
  async open(storeId: string | undefined): Promise<Suspicion[]> {
    const store = storeId === undefined ? empty : sql`AND "f"."storeId" = ${storeId}`;
    const found = await this.reader.all<{
      filling: string;
      gauge: string;
      positionCode: string | null;
    }>(
      sql`SELECT "f"."record" AS "filling", "g"."record" AS "gauge", "p"."code" AS "positionCode"
          FROM "filling" "f"
          JOIN "gauge" "g" ON "g"."fillingId" = "f"."id" AND "g"."takenAt" = "f"."lastGaugedAt"
          JOIN "cask" "c" ON "c"."id" = "f"."caskId"
          LEFT JOIN "position" "p" ON "p"."id" = "c"."positionId"
          WHERE "f"."suspicion" IN ('possible-leak', 'possible-blunder') AND ${isMaturing(sql`"f"."status"`)} ${store}
          ORDER BY "f"."lastGaugedAt" DESC LIMIT ${MOST}`,
    );
    return found
      .flatMap(({ filling, gauge, positionCode }) =>
        suspicionOf(JSON.parse(filling) as Filling, JSON.parse(gauge) as Gauge, positionCode),
      )
      .sort(
        (a, b) =>
          Number(b.verdict === 'possible-leak') - Number(a.verdict === 'possible-leak') ||
          (b.surety?.probability ?? 0) - (a.surety?.probability ?? 0),
      );
  }
}

function suspicionOf(filling: Filling, gauge: Gauge, positionCode: string | null): Suspicion[] {
  // Two gauges of one instant: only the one that raised the suspicion counts.
  if (gauge.verdict !== filling.suspicion || gauge.late) return [];
  const { verdict } = gauge;
  if (verdict !== 'possible-leak' && verdict !== 'possible-blunder') return [];
  return [
    {
      caskId: filling.caskId,
      caskCode: filling.caskCode,
      positionCode,
      gaugeId: gauge.id,
      takenAt: gauge.takenAt,
      verdict,
      surety: gauge.surety ?? null,
      keeperVerdict: gauge.keeperVerdict,
      figures: gauge.figures,
      uncertainties: gauge.uncertainties,
      expected: gauge.expected,
    },
  ];
}
