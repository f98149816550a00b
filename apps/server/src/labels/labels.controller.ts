import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Response } from 'express';
import { Threads } from '../jobs/threads.ts';
import type { WorkerThread } from '../jobs/worker-thread.ts';
import { Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { Refusal } from '../platform/refusals.ts';
import type { LabelTasks } from '../workers/labels.worker.ts';
import { LabelFields } from './label-fields.ts';
import { LabelTemplates } from './label-templates.ts';
import type { LabelOrder } from './render-labels.ts';

const { labels } = api;
type Body = InputOf<typeof labels.render>['body'];

const LIMIT_SECONDS = 120;

@Controller()
export class LabelsController {
  readonly #thread: WorkerThread<LabelTasks>;

  constructor(
    private readonly templates: LabelTemplates,
    private readonly fields: LabelFields,
    threads: Threads,
  ) {
    this.#thread = threads.open('labels');
  }

  @Serves(labels.templates)
  async list(): Promise<AnswerOf<typeof labels.templates>> {
    return { rows: this.templates.list() };
  }

  @Serves(labels.check)
  async check(
    @Input() { body }: InputOf<typeof labels.check>,
  ): Promise<AnswerOf<typeof labels.check>> {
    return this.#thread.run('check', await this.#order(body), { timeLimitSeconds: LIMIT_SECONDS });
  }

  @Serves(labels.render)
  async render(
    @Input() { body }: InputOf<typeof labels.render>,
    @Res() response: Response,
  ): Promise<void> {
    const { templateId, format, startPosition, outline } = body;
    const order = { ...(await this.#order(body)), templateId, format, startPosition, outline };
    sendFile(
      response,
      await this.#thread.run('render', order, { timeLimitSeconds: LIMIT_SECONDS }),
    );
  }

  async #order(body: Body): Promise<LabelOrder> {
    const { template, subject } = this.templates.need(body.templateId);
    const places = template.sheet ? template.sheet.columns * template.sheet.rows : 1;
    if (body.startPosition > places)
      throw new Refusal(
        422,
        'no-such-place',
        template.sheet
          ? `${template.sheet.name} has places 1 to ${String(places)}.`
          : 'Labels on a roll have no place to start at; leave it at 1.',
      );
    const fields = await this.fields.of(subject, body.subjectIds);
    const names = fields.map((of) =>
      String(of['sampleCode'] ?? of['caskCode'] ?? of['positionCode'] ?? of['runName'] ?? 'label'),
    );
    return { template, fields, names, dpi: body.dpi, language: body.language };
  }
}
