import { Injectable } from '@nestjs/common';
import type { Origins, OriginShare } from '@rundlet/contracts';
import { blendShares, type Shares } from '@rundlet/domain';
import { Records } from '../database/records.ts';

/** Where a liquid's ethanol came from, with names. */
@Injectable()
export class OriginsOf {
  constructor(private readonly records: Records) {}

  /** Shares by spirit lot → by lot, harvest and plot. Each list sums to 1, largest first; lots without records give no plots. */
  async lots(lotShares: Shares): Promise<Origins> {
    return (await this.many([lotShares]))[0] as Origins;
  }

  /** As {@link lots}, for several liquids with one look at the database. */
  async many(liquids: readonly Shares[]): Promise<Origins[]> {
    const lots = await this.records.byId(
      'spirit-lot',
      liquids.flatMap((l) => Object.keys(l)),
    );
    const harvests = await this.records.byId(
      'harvest-lot',
      [...lots.values()].flatMap((lot) => Object.keys(lot.harvestShares)),
    );
    const plots = await this.records.byId(
      'plot',
      [...lots.values()].flatMap((lot) => Object.keys(lot.plotShares)),
    );
    return liquids.map((lotShares) => {
      const parts = Object.entries(lotShares).flatMap(([id, weight]) => {
        const lot = lots.get(id);
        return lot ? [{ weight, lot }] : [];
      });
      const through = (of: 'harvestShares' | 'plotShares') =>
        blendShares(
          parts
            .filter(({ lot }) => Object.keys(lot[of]).length > 0)
            .map(({ weight, lot }) => ({ weight, shares: lot[of] })),
        );
      return {
        lots: named(lotShares, lots),
        harvests: named(through('harvestShares'), harvests),
        plots: named(through('plotShares'), plots),
      };
    });
  }
}

function named(
  shares: Shares,
  records: ReadonlyMap<string, { code: string; name?: string }>,
): OriginShare[] {
  return Object.entries(shares)
    .map(([id, share]) => {
      const record = records.get(id);
      return { id, code: record?.code ?? '', name: record?.name ?? record?.code ?? '', share };
    })
    .sort((a, b) => b.share - a.share || (a.code < b.code ? -1 : 1));
}
