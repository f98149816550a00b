import { Global, Module } from '@nestjs/common';
import { JobsController } from './jobs.controller.ts';
import { Jobs } from './jobs.ts';
import { ThreadJobs } from './thread-jobs.ts';
import { Threads } from './threads.ts';

/** Work that takes long, for every feature that has some. */
@Global()
@Module({
  controllers: [JobsController],
  providers: [Threads, ThreadJobs, { provide: Jobs, useExisting: ThreadJobs }],
  exports: [Jobs, Threads],
})
export class JobsModule {}
