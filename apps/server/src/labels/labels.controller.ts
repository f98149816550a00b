import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { parseTemplateText } from '@rundlet/labels';
import type { Response } from 'express';
import sql from 'sql-template-tag';
import { countOpenSpareLabels, openSpareLabels } from '../casks/spare-labels.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Threads } from '../jobs/threads.ts';
import type { WorkerThread } from '../jobs/worker-thread.ts';
import type { Actor } from '../platform/actor.ts';
import { By, Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { Refusal } from '../platform/refusals.ts';
import type { LabelTasks } from '../workers/labels.worker.ts';
import { LabelFields } from './label-fields.ts';
import { LabelOrders } from './label-orders.ts';
import { LabelRuns } from './label-runs.ts';
import { LabelTemplates } from './label-templates.ts';
import type { TrialOrder } from './render-labels.ts';

const { labels } = api;

const LIMIT_SECONDS = 120;
const SPARES_SHOWN = 200;

@Controller()
export class LabelsController {
  readonly #thread: WorkerThread<LabelTasks>;

  constructor(
    private readonly templates: LabelTemplates,
    private readonly fields: LabelFields,
    private readonly orders: LabelOrders,
    private readonly runs: LabelRuns,
    private readonly records: Records,
    private readonly reader: Reader,
    threads: Threads,
  ) {
    this.#thread = threads.open('labels');
  }

  @Serves(labels.templates)
  list(): Promise<AnswerOf<typeof labels.templates>> {
    return this.templates.list();
  }

  @Serves(labels.template)
  async template(
    @Input() { params }: InputOf<typeof labels.template>,
  ): Promise<AnswerOf<typeof labels.template>> {
    const { json, own } = await this.templates.need(params.id);
    return { id: params.id, own, text: `${JSON.stringify(json, null, 2)}\n` };
  }

  @Serves(labels.try)
  async try(@Input() { body }: InputOf<typeof labels.try>): Promise<AnswerOf<typeof labels.try>> {
    const { text, dpi, language } = body;
    const order = { text, dpi, language, fields: await this.#trialFields(body) };
    return this.#thread.run('try', order, { timeLimitSeconds: LIMIT_SECONDS });
  }

  @Serves(labels.testSheet)
  async testSheet(
    @Input() { params, query }: InputOf<typeof labels.testSheet>,
    @Res() response: Response,
  ): Promise<void> {
    const { template } = await this.templates.need(params.id);
    if (template.sheet && query.format === 'zpl')
      throw new Refusal(422, 'no-such-format', 'Printer language is for rolls; ask for a PDF.');
    const order = {
      template,
      templateId: params.id,
      format: query.format,
      printing: await this.orders.printing(query.printerId ?? null, 300),
    };
    sendFile(response, await this.#thread.run('test', order, { timeLimitSeconds: LIMIT_SECONDS }));
  }

  @Serves(labels.printers)
  async printers(): Promise<AnswerOf<typeof labels.printers>> {
    const all = await this.records.where('printer', sql`1 = 1`);
    const rows = all.filter(({ inUse }) => inUse).sort((a, b) => (a.name < b.name ? -1 : 1));
    return { rows };
  }

  @Serves(labels.check)
  async check(
    @Input() { body }: InputOf<typeof labels.check>,
  ): Promise<AnswerOf<typeof labels.check>> {
    const order = await this.orders.of(body);
    return this.#thread.run('check', order, { timeLimitSeconds: LIMIT_SECONDS });
  }

  @Serves(labels.printed)
  async printed(
    @Input() { body }: InputOf<typeof labels.printed>,
  ): Promise<AnswerOf<typeof labels.printed>> {
    const rows = [...(await this.fields.printings(body.subjectIds))].map(
      ([subjectId, { times, lastAt }]) => ({ subjectId, times, lastAt }),
    );
    return { rows };
  }

  @Serves(labels.render)
  async render(
    @Input() { body }: InputOf<typeof labels.render>,
    @Res() response: Response,
  ): Promise<void> {
    const order = await this.orders.of(body);
    sendFile(
      response,
      await this.#thread.run('render', order, { timeLimitSeconds: LIMIT_SECONDS }),
    );
  }

  @Serves(labels.run)
  async run(
    @Input() { body }: InputOf<typeof labels.run>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof labels.run>> {
    return { jobId: await this.runs.start(await this.orders.of(body), by.id) };
  }

  @Serves(labels.runFile)
  async runFile(
    @Input() { params }: InputOf<typeof labels.runFile>,
    @Res() response: Response,
  ): Promise<void> {
    sendFile(response, await this.runs.file(params.id));
  }

  @Serves(labels.spares)
  async spares(): Promise<AnswerOf<typeof labels.spares>> {
    const spares = await openSpareLabels(this.reader, SPARES_SHOWN);
    return {
      open: await countOpenSpareLabels(this.reader),
      rows: spares.map(({ code, templateId, at }) => ({ code, templateId, at })),
    };
  }

  /** @throws NotFound for a record that is not there */
  async #trialFields(body: InputOf<typeof labels.try>['body']): Promise<TrialOrder['fields']> {
    if (body.fields !== 'record') return body.fields;
    const parsed = parseTemplateText(body.text);
    const subject = parsed.status === 'ok' ? parsed.template.subject : undefined;
    if (subject === undefined || body.subjectId === null) return 'examples';
    const [fields] = await this.fields.of(subject, [body.subjectId]);
    return fields ?? 'examples';
  }
}
