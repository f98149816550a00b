import { Controller, Inject, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Response } from 'express';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { Forecasts } from '../maturation/forecasts.ts';
import { Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import type { Report } from '../reports/report.ts';
import { Papers } from '../reports/papers.ts';
import { tablesCsv } from '../reports/write-report.ts';
import { statementReport } from './statement-report.ts';
import { Statements, type Period } from './statements.ts';

const { owners } = api;

@Controller()
export class OwnersController {
  constructor(
    private readonly statements: Statements,
    private readonly forecasts: Forecasts,
    private readonly records: Records,
    private readonly papers: Papers,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  @Serves(owners.list)
  async list(): Promise<AnswerOf<typeof owners.list>> {
    return { rows: await this.statements.holdings() };
  }

  @Serves(owners.statement)
  statement(
    @Input() { params, query }: InputOf<typeof owners.statement>,
  ): Promise<AnswerOf<typeof owners.statement>> {
    return this.statements.one(params.id, periodOf(query));
  }

  @Serves(owners.forecastSoon)
  forecastSoon(
    @Input() { params }: InputOf<typeof owners.forecastSoon>,
  ): Promise<AnswerOf<typeof owners.forecastSoon>> {
    return this.forecasts.holdingsSoon(params.id);
  }

  @Serves(owners.statementCsv)
  async statementCsv(
    @Input() { params, query }: InputOf<typeof owners.statementCsv>,
    @Res() response: Response,
  ): Promise<void> {
    const { report, name } = await this.report(params.id, query);
    sendFile(response, {
      name: `${name}.csv`,
      contentType: 'text/csv; charset=utf-8',
      content: tablesCsv(report.tables),
    });
  }

  @Serves(owners.statementPdf)
  async statementPdf(
    @Input() { params, query }: InputOf<typeof owners.statementPdf>,
    @Res() response: Response,
  ): Promise<void> {
    const { report, name } = await this.report(params.id, query);
    sendFile(response, {
      name: `${name}.pdf`,
      contentType: 'application/pdf',
      content: await this.papers.pdf(report),
    });
  }

  private async report(
    accountId: string,
    query: InputOf<typeof owners.statementPdf>['query'],
  ): Promise<{ report: Report; name: string }> {
    const statement = await this.statements.one(accountId, periodOf(query));
    const forecast = await this.forecasts.holdings(accountId);
    const stores = await this.records.where('store', sql`1 = 1`);
    const report = statementReport({
      estateName: this.settings.estateName,
      unit: query.unit,
      statement,
      forecast,
      storeOf: (id) => stores.find((store) => store.id === id)?.name ?? '',
    });
    const code = statement.account.code.replaceAll(/[^0-9A-Za-z-]/g, '-');
    return { report, name: `statement-${code}-${statement.madeAt.slice(0, 10)}` };
  }
}

/** What the address says of the period, and no more. */
const periodOf = ({ from, to }: { from?: string | undefined; to?: string | undefined }) =>
  ({ ...(from ? { from } : {}), ...(to ? { to } : {}) }) satisfies Partial<Period>;
