import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { Records } from '../database/records.ts';
import { Jobs } from '../jobs/jobs.ts';
import { OriginsOf } from '../lineage/origins.ts';
import type { Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { Refusal } from '../platform/refusals.ts';
import { BlendPlans } from './blend-plans.ts';
import { BlendWords } from './blend-vocabulary.ts';

const { blends } = api;
/** Kind of the jobs that choose casks. */
export const BLEND_JOB = 'blend';

@Controller()
export class BlendsController {
  constructor(
    private readonly jobs: Jobs,
    private readonly plans: BlendPlans,
    private readonly words: BlendWords,
    private readonly records: Records,
    private readonly origins: OriginsOf,
    private readonly clock: Clock,
  ) {}

  @Serves(blends.solve)
  async solve(
    @Input() { body }: InputOf<typeof blends.solve>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof blends.solve>> {
    const today = this.clock.instant().slice(0, 10);
    if (body.blendOn < today)
      throw new Refusal(
        422,
        'blend-in-the-past',
        `A blend is planned for today (${today}) or later; ${body.blendOn} is past.`,
      );
    return { jobId: await this.jobs.start(BLEND_JOB, body, by.id) };
  }

  @Serves(blends.vocabulary)
  vocabulary(): Promise<AnswerOf<typeof blends.vocabulary>> {
    return this.words.vocabulary();
  }

  @Serves(blends.plans)
  list(@Input() { query }: InputOf<typeof blends.plans>): Promise<AnswerOf<typeof blends.plans>> {
    return this.records.page('blend-plan', { column: 'createdAt', direction: 'desc' }, query);
  }

  @Serves(blends.plan)
  plan(@Input() { params }: InputOf<typeof blends.plan>): Promise<AnswerOf<typeof blends.plan>> {
    return this.plans.view(params.id);
  }

  @Serves(blends.trim)
  trim(
    @Input() { params, query }: InputOf<typeof blends.trim>,
  ): Promise<AnswerOf<typeof blends.trim>> {
    return this.plans.trim(params.id, query.stepPercentVol);
  }

  @Serves(blends.blends)
  made(@Input() { query }: InputOf<typeof blends.blends>): Promise<AnswerOf<typeof blends.blends>> {
    return this.records.page('blend', { column: 'madeAt', direction: 'desc' }, query);
  }

  @Serves(blends.blend)
  async one(
    @Input() { params }: InputOf<typeof blends.blend>,
  ): Promise<AnswerOf<typeof blends.blend>> {
    const blend = await this.records.need('blend', params.id);
    return { blend, origins: await this.origins.lots(blend.lotShares) };
  }
}
