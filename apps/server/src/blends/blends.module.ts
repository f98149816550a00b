import { Module, type OnModuleInit } from '@nestjs/common';
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { Jobs } from '../jobs/jobs.ts';
import { LineageModule } from '../lineage/lineage.module.ts';
import { BLEND_JOB, BlendsController } from './blends.controller.ts';
import { BlendPlans } from './blend-plans.ts';

/** Beyond the solver's own limit: forecasting a large stock, explaining why nothing fits. */
const MORE_SECONDS = 90;

@Module({
  imports: [LineageModule],
  controllers: [BlendsController],
  providers: [BlendPlans],
})
export class BlendsModule implements OnModuleInit {
  constructor(private readonly jobs: Jobs) {}

  onModuleInit(): void {
    this.jobs.define<BlendRequest, BlendAnswer>({
      kind: BLEND_JOB,
      worker: 'blending',
      task: 'solve',
      timeLimitSeconds: (request) => request.timeLimitSeconds + MORE_SECONDS,
      finish: async (answer) => answer,
    });
  }
}
