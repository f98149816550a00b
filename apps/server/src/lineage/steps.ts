import { Injectable } from '@nestjs/common';
import type {
  AnswerOf,
  api,
  RecordOf,
  SpiritLot,
  StepKind,
  StepLink,
  StepYield,
} from '@rundlet/contracts';
import {
  ethanolKgOf,
  heartsMgOf,
  litresPureAlcoholOfMg,
  mostEthanolKg,
  RECEIPT_TOLERANCE,
  YIELD_TOLERANCE,
  receivedOf,
  wordsOf,
} from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { Links } from './links.ts';

type StepAnswer = AnswerOf<typeof api.lineage.step>;
type Neighbours = Omit<StepAnswer, 'step'>;
type Choices = AnswerOf<typeof api.lineage.stepChoices>;

const lpaOfKg = (kg: number): number => litresPureAlcoholOfMg(kg * 1e6);
const lpaOf = (litres: number, percentVol: number): number => (litres * percentVol) / 100;

/** One step of the chain between those before and after it. */
@Injectable()
export class Steps {
  constructor(
    private readonly records: Records,
    private readonly links: Links,
  ) {}

  /** @throws NotFound */
  async of(kind: StepKind, id: string): Promise<StepAnswer> {
    const record = await this.records.need(kind, id);
    const around = this.around[kind] as (record: object) => Promise<Neighbours>;
    return { step: { kind, record }, ...(await around(record)) } as StepAnswer;
  }

  async choices(kind: StepKind, query: { find: string; limit: number }): Promise<Choices> {
    const found = await this.records.where(
      kind,
      sql`UPPER("code") LIKE ${`%${query.find.toUpperCase().replaceAll(/[%_]/g, '')}%`}`,
      sql`"id" DESC LIMIT ${query.limit + 1}`,
    );
    return {
      rows: found
        .slice(0, query.limit)
        .map((record) => ({ id: record.id, code: record.code, ...wordsOf(kind, record) })),
      more: found.length > query.limit,
    };
  }

  private readonly around: {
    readonly [K in StepKind]: (record: RecordOf<K>) => Promise<Neighbours>;
  } = {
    plot: async (plot) => {
      const harvests = await this.links.naming('harvest-lot', 'plot', [plot.id]);
      return {
        from: [],
        became: harvests.map((h) => link('harvest-lot', h, h.massKg, 'kg')),
        yields: [],
      };
    },

    'harvest-lot': async (harvest) => {
      const plot = await this.records.need('plot', harvest.plotId);
      const ferments = await this.links.naming('ferment', 'harvest-lot', [harvest.id]);
      const became = ferments.map((f) =>
        link(
          'ferment',
          f,
          total(f.inputs, (i) => (i.harvestLotId === harvest.id ? i.massKg : 0)),
          'kg',
        ),
      );
      return {
        from: [link('plot', plot, harvest.massKg, 'kg')],
        became,
        yields: [yieldOf('mass-used', sum(became), harvest.massKg, 'kg')],
      };
    },

    ferment: async (ferment) => {
      const harvests = await this.records.byId(
        'harvest-lot',
        ferment.inputs.map((i) => i.harvestLotId),
      );
      const runs = await this.links.naming('still-run', 'ferment', [ferment.id]);
      const became = runs.map((r) => {
        const litres = total(r.inputs, (i) => (i.fermentId === ferment.id ? i.bulkLitresAt20C : 0));
        return link('still-run', r, litres, 'L', lpaOf(litres, ferment.strengthPercentVol));
      });
      const sugarKg = total(
        ferment.inputs,
        (i) => (i.massKg * (harvests.get(i.harvestLotId)?.sugarPercentMass ?? 0)) / 100,
      );
      return {
        from: ferment.inputs.flatMap((i) => {
          const harvest = harvests.get(i.harvestLotId);
          return harvest ? [link('harvest-lot', harvest, i.massKg, 'kg')] : [];
        }),
        became,
        yields: [
          yieldOf(
            'ethanol-of-sugar',
            lpaOfKg(ethanolKgOf(ferment.bulkLitresAt20C, ferment.strengthPercentVol)),
            lpaOfKg(mostEthanolKg(sugarKg)),
            'LPA',
          ),
          yieldOf('litres-charged', sum(became), ferment.bulkLitresAt20C, 'L'),
        ],
      };
    },

    'still-run': async (run) => {
      const ferments = await this.records.byId(
        'ferment',
        run.inputs.map((i) => i.fermentId),
      );
      const from = run.inputs.flatMap((i) => {
        const ferment = ferments.get(i.fermentId);
        const litres = i.bulkLitresAt20C;
        return ferment
          ? [link('ferment', ferment, litres, 'L', lpaOf(litres, ferment.strengthPercentVol))]
          : [];
      });
      const lots = await this.links.naming('spirit-lot', 'still-run', [run.id]);
      const became = lots.map((lot) => {
        const share = total(lot.inputs, (i) => (i.stillRunId === run.id ? i.share : 0));
        return link('spirit-lot', lot, share, 'share', receivedLpa(lot, run.id));
      });
      const hearts = litresPureAlcoholOfMg(heartsMgOf(run));
      return {
        from,
        became,
        yields: [
          yieldOf('ethanol-of-wash', hearts, sumLpa(from), 'LPA'),
          yieldOf('received', sumLpa(became), hearts, 'LPA'),
        ],
      };
    },

    'spirit-lot': async (lot) => {
      const runIds = lot.inputs.map((i) => i.stillRunId);
      const runs = await this.records.byId('still-run', runIds);
      const lots = await this.links.naming('spirit-lot', 'still-run', runIds);
      return {
        from: lot.inputs.flatMap((i) => {
          const run = runs.get(i.stillRunId);
          return run ? [link('still-run', run, i.share, 'share', receivedLpa(lot, run.id))] : [];
        }),
        became: [],
        yields: [...runs.values()].map((run) => ({
          ...yieldOf(
            'received',
            total(lots, (one) => receivedLpa(one, run.id)),
            litresPureAlcoholOfMg(heartsMgOf(run)),
            'LPA',
          ),
          of: run.code,
        })),
      };
    },
  };
}

const receivedLpa = (lot: SpiritLot, runId: string): number =>
  litresPureAlcoholOfMg(receivedOf(lot, runId));

const link = <K extends StepKind>(
  kind: K,
  record: RecordOf<K>,
  amount: number,
  unit: StepLink['unit'],
  litresPureAlcohol: number | null = null,
): StepLink => ({
  kind,
  id: record.id,
  code: record.code,
  ...wordsOf(kind, record),
  amount,
  unit,
  litresPureAlcohol,
});

const yieldOf = (
  what: StepYield['what'],
  value: number,
  most: number,
  unit: StepYield['unit'],
): StepYield => ({
  what,
  of: null,
  value,
  most,
  tolerance: what === 'received' ? RECEIPT_TOLERANCE : YIELD_TOLERANCE,
  unit,
});

const total = <T>(list: readonly T[], of: (one: T) => number): number =>
  list.reduce((sum, one) => sum + of(one), 0);
const sum = (links: readonly StepLink[]): number => total(links, (one) => one.amount);
const sumLpa = (links: readonly StepLink[]): number =>
  total(links, (one) => one.litresPureAlcohol ?? 0);
