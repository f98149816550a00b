import { Controller } from '@nestjs/common';
import { api, type InputOf, type Job } from '@rundlet/contracts';
import { includesRole, type Actor } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { Forbidden, NotFound } from '../platform/refusals.ts';
import { Jobs } from './jobs.ts';

@Controller()
export class JobsController {
  constructor(private readonly jobs: Jobs) {}

  @Serves(api.jobs.get)
  async get(@Input() { params }: InputOf<typeof api.jobs.get>): Promise<Job> {
    return found(await this.jobs.get(params.id));
  }

  @Serves(api.jobs.cancel)
  async cancel(
    @Input() { params }: InputOf<typeof api.jobs.cancel>,
    @By() by: Actor,
  ): Promise<Job> {
    const startedBy = await this.jobs.startedBy(params.id);
    if (startedBy !== null && startedBy !== by.id && !includesRole(by.roles, 'keep'))
      throw new Forbidden('A job is cancelled by whoever started it, or by a keeper.');
    return found(await this.jobs.cancel(params.id));
  }
}

function found(job: Job | null): Job {
  if (!job) throw new NotFound('There is no such job; finished ones are forgotten after a while.');
  return job;
}
