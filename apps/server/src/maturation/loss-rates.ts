import { Injectable } from '@nestjs/common';
import type { AnswerOf, api, Filling } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { yearlyLossPercent } from '../casks/cask-card.ts';
import { Reader } from '../database/reader.ts';

const DAY_MS = 86_400_000;
type Rates = AnswerOf<typeof api.maturation.lossRates>['rows'];

/** What casks lose a year by their own gauges: measured, no model in it. */
@Injectable()
export class LossRates {
  constructor(private readonly reader: Reader) {}

  async ofStore(storeId: string): Promise<Rates> {
    const found = await this.reader.all<{ filling: string; mg: number }>(
      sql`SELECT "f"."record" AS "filling", COALESCE((
            SELECT SUM("p"."ethanolMg") FROM "posting" "p"
            WHERE "p"."fillingId" = "f"."id" AND "p"."cause" = 'gauge-difference'), 0) AS "mg"
          FROM "filling" "f" WHERE "f"."storeId" = ${storeId} AND "f"."status" = 'maturing'`,
    );
    return found.map(({ filling, mg }) => {
      const f = JSON.parse(filling) as Filling;
      const days = (Date.parse(f.lastGaugedAt) - Date.parse(f.filledAt)) / DAY_MS;
      return {
        caskId: f.caskId,
        percentPerYear:
          f.gaugeCount === 0
            ? null
            : yearlyLossPercent(
                0 - litresPureAlcoholOfMg(Number(mg)),
                f.fillFigures.litresPureAlcohol,
                days,
              ),
      };
    });
  }
}
