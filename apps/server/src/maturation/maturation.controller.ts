import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Actor } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { Forecasts } from './forecasts.ts';
import { Learning } from './learning.ts';
import { LossRates } from './loss-rates.ts';
import { Suspicions } from './suspicions.ts';

const { maturation } = api;

@Controller()
export class MaturationController {
  constructor(
    private readonly forecasts: Forecasts,
    private readonly learning: Learning,
    private readonly suspected: Suspicions,
    private readonly rates: LossRates,
  ) {}

  @Serves(maturation.filling)
  filling(
    @Input() { params, query }: InputOf<typeof maturation.filling>,
  ): Promise<AnswerOf<typeof maturation.filling>> {
    return this.forecasts.filling(params.id, query);
  }

  @Serves(maturation.whatIf)
  whatIf(
    @Input() { params, body }: InputOf<typeof maturation.whatIf>,
  ): Promise<AnswerOf<typeof maturation.whatIf>> {
    return this.forecasts.whatIf(params.id, body);
  }

  @Serves(maturation.woodContact)
  woodContact(
    @Input() { params, query }: InputOf<typeof maturation.woodContact>,
  ): Promise<AnswerOf<typeof maturation.woodContact>> {
    return this.forecasts.woodContact(params.id, query);
  }

  @Serves(maturation.stock)
  stock(
    @Input() { query }: InputOf<typeof maturation.stock>,
  ): Promise<AnswerOf<typeof maturation.stock>> {
    return this.forecasts.stock(query);
  }

  @Serves(maturation.stockSoon)
  stockSoon(
    @Input() { query }: InputOf<typeof maturation.stockSoon>,
  ): Promise<AnswerOf<typeof maturation.stockSoon>> {
    return this.forecasts.stockSoon(query);
  }

  @Serves(maturation.stockWhatIf)
  stockWhatIf(
    @Input() { body }: InputOf<typeof maturation.stockWhatIf>,
  ): Promise<AnswerOf<typeof maturation.stockWhatIf>> {
    return this.forecasts.stockWhatIf(body);
  }

  @Serves(maturation.regauge)
  round(
    @Input() { query }: InputOf<typeof maturation.regauge>,
  ): Promise<AnswerOf<typeof maturation.regauge>> {
    return this.forecasts.round(query);
  }

  @Serves(maturation.regaugeSoon)
  roundSoon(
    @Input() { query }: InputOf<typeof maturation.regaugeSoon>,
  ): Promise<AnswerOf<typeof maturation.regaugeSoon>> {
    return this.forecasts.roundSoon(query);
  }

  @Serves(maturation.suspicions)
  async suspicions(
    @Input() { query }: InputOf<typeof maturation.suspicions>,
  ): Promise<AnswerOf<typeof maturation.suspicions>> {
    return { rows: await this.suspected.open(query.storeId) };
  }

  @Serves(maturation.lossRates)
  async lossRates(
    @Input() { query }: InputOf<typeof maturation.lossRates>,
  ): Promise<AnswerOf<typeof maturation.lossRates>> {
    return { rows: await this.rates.ofStore(query.storeId) };
  }

  @Serves(maturation.calibration)
  calibration(): Promise<AnswerOf<typeof maturation.calibration>> {
    return this.learning.view();
  }

  @Serves(maturation.calibrate)
  async calibrate(
    @Input() _: InputOf<typeof maturation.calibrate>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof maturation.calibrate>> {
    return { jobId: await this.learning.start(by.id) };
  }
}
