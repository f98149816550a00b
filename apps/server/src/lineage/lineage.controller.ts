import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { followLineage, traceLineage } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { Input, Serves } from '../platform/endpoint-handler.ts';
import { NotFound } from '../platform/refusals.ts';
import { Links } from './links.ts';
import { Recall } from './recall.ts';
import { Steps } from './steps.ts';

const { lineage } = api;
const NEWEST_FIRST = { column: 'id', direction: 'desc' } as const;

@Controller()
export class LineageController {
  constructor(
    private readonly records: Records,
    private readonly links: Links,
    private readonly recalls: Recall,
    private readonly steps: Steps,
  ) {}

  @Serves(lineage.plots)
  async plots(): Promise<AnswerOf<typeof lineage.plots>> {
    return { rows: await this.records.where('plot', sql`1 = 1`, sql`"code"`) };
  }

  @Serves(lineage.harvests)
  harvests(
    @Input() { query }: InputOf<typeof lineage.harvests>,
  ): Promise<AnswerOf<typeof lineage.harvests>> {
    const ofPlot = query.plotId === undefined ? [] : [sql`"plotId" = ${query.plotId}`];
    return this.records.page(
      'harvest-lot',
      { column: 'harvestedOn', direction: 'desc' },
      query,
      ofPlot,
    );
  }

  @Serves(lineage.ferments)
  ferments(
    @Input() { query }: InputOf<typeof lineage.ferments>,
  ): Promise<AnswerOf<typeof lineage.ferments>> {
    return this.records.page('ferment', { column: 'startedOn', direction: 'desc' }, query);
  }

  @Serves(lineage.stillRuns)
  stillRuns(
    @Input() { query }: InputOf<typeof lineage.stillRuns>,
  ): Promise<AnswerOf<typeof lineage.stillRuns>> {
    return this.records.page('still-run', { column: 'ranOn', direction: 'desc' }, query);
  }

  /** Ids are UUIDv7, so their order is the order the lots were recorded in. */
  @Serves(lineage.lots)
  lots(@Input() { query }: InputOf<typeof lineage.lots>): Promise<AnswerOf<typeof lineage.lots>> {
    return this.records.page('spirit-lot', NEWEST_FIRST, query);
  }

  @Serves(lineage.step)
  step(@Input() { params }: InputOf<typeof lineage.step>): Promise<AnswerOf<typeof lineage.step>> {
    return this.steps.of(params.kind, params.id);
  }

  @Serves(lineage.stepChoices)
  stepChoices(
    @Input() { params, query }: InputOf<typeof lineage.stepChoices>,
  ): Promise<AnswerOf<typeof lineage.stepChoices>> {
    return this.steps.choices(params.kind, query);
  }

  @Serves(lineage.trace)
  async trace(
    @Input() { params, query }: InputOf<typeof lineage.trace>,
  ): Promise<AnswerOf<typeof lineage.trace>> {
    const graph =
      query.direction === 'back'
        ? await traceLineage(params.kind, params.id, this.records)
        : await followLineage(params.kind, params.id, this.links);
    if (!graph) throw new NotFound(`There is no ${params.kind.replaceAll('-', ' ')} ${params.id}.`);
    return graph;
  }

  @Serves(lineage.recall)
  recall(
    @Input() { params }: InputOf<typeof lineage.recall>,
  ): Promise<AnswerOf<typeof lineage.recall>> {
    return params.kind === 'filling'
      ? this.recalls.fromFilling(params.id)
      : this.recalls.from(params.kind, params.id);
  }
}
