import { mkdir, readdir, readFile, stat, unlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Inject, Injectable, type OnModuleInit } from '@nestjs/common';
import { Jobs } from '../jobs/jobs.ts';
import { Clock } from '../platform/clock.ts';
import { NotFound } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import type { LabelFile, RenderOrder } from './render-labels.ts';

const KIND = 'label-run';
const LIMIT_SECONDS = 900;
const KEEP_MS = 7 * 86_400_000;

interface Made {
  readonly name: string;
  readonly contentType: string;
  readonly bytes: number;
}

/** Many labels at once, as jobs; what they make lies in the data folder for a week. */
@Injectable()
export class LabelRuns implements OnModuleInit {
  readonly #folder: string;

  constructor(
    private readonly jobs: Jobs,
    private readonly clock: Clock,
    @Inject(SETTINGS) settings: Settings,
  ) {
    this.#folder = join(settings.dataFolder, 'label-runs');
  }

  async onModuleInit(): Promise<void> {
    this.jobs.define<RenderOrder, LabelFile>({
      kind: KIND,
      worker: 'labels',
      task: 'render',
      timeLimitSeconds: () => LIMIT_SECONDS,
      finish: (file, { id }) => this.#keep(id, file),
    });
    await this.#tidy();
  }

  start(order: RenderOrder, by: string): Promise<string> {
    return this.jobs.start(KIND, order, by);
  }

  /** @throws NotFound */
  async file(id: string): Promise<LabelFile> {
    const job = await this.jobs.get(id);
    if (job?.kind !== KIND || job.status !== 'done')
      throw new NotFound('There is no such finished run of labels.');
    const { name, contentType } = job.result as Made;
    try {
      return { name, contentType, content: await readFile(join(this.#folder, id)) };
    } catch {
      throw new NotFound('The labels of this run are no longer kept; make them again.');
    }
  }

  async #keep(id: string, { name, contentType, content }: LabelFile): Promise<Made> {
    await mkdir(this.#folder, { recursive: true, mode: 0o700 });
    await this.#tidy();
    await writeFile(join(this.#folder, id), content);
    return { name, contentType, bytes: Buffer.byteLength(content) };
  }

  async #tidy(): Promise<void> {
    const files = await readdir(this.#folder).catch(() => []);
    for (const file of files) {
      const path = join(this.#folder, file);
      if (this.clock.now().getTime() - (await stat(path)).mtimeMs > KEEP_MS) await unlink(path);
    }
  }
}
