import { Module, type OnModuleInit } from '@nestjs/common';
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { Jobs } from '../jobs/jobs.ts';
import { JournalModule } from '../journal/journal.module.ts';
import { LineageModule } from '../lineage/lineage.module.ts';
import { BLEND_JOB, BlendsController } from './blends.controller.ts';
import { BlendPlans } from './blend-plans.ts';
import { SECONDS_FOR_AN_ALTERNATIVE, SENSITIVITY_SECONDS } from './blend-times.ts';
import { BlendWords } from './blend-vocabulary.ts';
import { PickLists } from './pick-list.ts';

/** Beyond the solver's own limit: forecasting a large stock, explaining why nothing fits. */
const MORE_SECONDS = 90;

@Module({
  imports: [JournalModule, LineageModule],
  controllers: [BlendsController],
  providers: [BlendPlans, BlendWords, PickLists],
})
export class BlendsModule implements OnModuleInit {
  constructor(private readonly jobs: Jobs) {}

  onModuleInit(): void {
    this.jobs.define<BlendRequest, BlendAnswer>({
      kind: BLEND_JOB,
      worker: 'blending',
      task: 'solve',
      timeLimitSeconds: ({ timeLimitSeconds, alternatives }) =>
        timeLimitSeconds +
        alternatives * SECONDS_FOR_AN_ALTERNATIVE +
        SENSITIVITY_SECONDS +
        MORE_SECONDS,
      finish: async (answer) => answer,
    });
  }
}
