import { Inject, Injectable, type BeforeApplicationShutdown } from '@nestjs/common';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { workerSettings } from './jobs.ts';
import type { Tasks } from './protocol.ts';
import type { WorkerName } from './worker-file.ts';
import { WorkerThread } from './worker-thread.ts';

/** Threads that answer requests: what calculates for more than a few milliseconds does so there, not in the event loop. */
@Injectable()
export class Threads implements BeforeApplicationShutdown {
  readonly #open: WorkerThread<Tasks>[] = [];
  constructor(@Inject(SETTINGS) private readonly settings: Settings) {}

  /** A thread of its own for the caller, ended when the server stops. It is started at its first task. */
  open<T extends Tasks>(name: WorkerName): WorkerThread<T> {
    const thread = new WorkerThread<T>(name, workerSettings(this.settings));
    this.#open.push(thread);
    return thread;
  }

  async beforeApplicationShutdown(): Promise<void> {
    await Promise.all(this.#open.map((thread) => thread.close()));
  }
}
