import { Controller, Res } from '@nestjs/common';
import { api, XLSX_TYPE, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { monthsBetween } from '@rundlet/domain';
import type { Response } from 'express';
import { Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { InvalidRequest } from '../platform/problem.ts';
import { reportXlsx, tableCsv } from '../reports/write-report.ts';
import { Papers } from '../reports/papers.ts';
import { AccountTermsOf } from './account-terms.ts';
import { Deliveries } from './deliveries.ts';
import { MonthCloses } from './month-closes.ts';
import { ReturnFiles } from './return-files.ts';
import { returnReport, returnTable } from './return-report.ts';
import { Returns } from './returns.ts';

const { books } = api;
const MOST_MONTHS = 600;

@Controller()
export class BooksController {
  constructor(
    private readonly returns: Returns,
    private readonly closes: MonthCloses,
    private readonly deliveriesOf: Deliveries,
    private readonly files: ReturnFiles,
    private readonly termsOf: AccountTermsOf,
    private readonly papers: Papers,
  ) {}

  @Serves(books.months)
  async months(
    @Input() { query: { from, to, ...scope } }: InputOf<typeof books.months>,
  ): Promise<AnswerOf<typeof books.months>> {
    requireMonths(from, to);
    return {
      rows: await this.returns.months(from, to, scope),
      closed: await this.closes.between(from, to),
      holdsNowLitresPureAlcohol: await this.returns.holdsNow(scope),
    };
  }

  @Serves(books.returnCsv)
  async returnCsv(
    @Input() { query }: InputOf<typeof books.returnCsv>,
    @Res() response: Response,
  ): Promise<void> {
    requireMonths(query.from, query.to);
    const content = tableCsv(returnTable(await this.files.facts(query)));
    sendFile(response, {
      name: `${nameOf(query)}.csv`,
      contentType: 'text/csv; charset=utf-8',
      content,
    });
  }

  @Serves(books.returnXlsx)
  async returnXlsx(
    @Input() { query }: InputOf<typeof books.returnXlsx>,
    @Res() response: Response,
  ): Promise<void> {
    requireMonths(query.from, query.to);
    const content = await reportXlsx(returnReport(await this.files.facts(query), 'columns'));
    sendFile(response, { name: `${nameOf(query)}.xlsx`, contentType: XLSX_TYPE, content });
  }

  @Serves(books.returnPdf)
  async returnPdf(
    @Input() { query }: InputOf<typeof books.returnPdf>,
    @Res() response: Response,
  ): Promise<void> {
    requireMonths(query.from, query.to);
    const content = await this.papers.pdf(returnReport(await this.files.facts(query), 'lines'));
    sendFile(response, { name: `${nameOf(query)}.pdf`, contentType: 'application/pdf', content });
  }

  @Serves(books.state)
  state(): Promise<AnswerOf<typeof books.state>> {
    return this.closes.state();
  }

  @Serves(books.postings)
  async postings(
    @Input() { query: { month, ...query } }: InputOf<typeof books.postings>,
  ): Promise<AnswerOf<typeof books.postings>> {
    return { rows: await this.files.postings({ from: month, to: month, ...query }) };
  }

  @Serves(books.deliveries)
  async deliveries(
    @Input() { query: { from, to, ...scope } }: InputOf<typeof books.deliveries>,
  ): Promise<AnswerOf<typeof books.deliveries>> {
    requireMonths(from, to);
    return { rows: await this.deliveriesOf.between(from, to, scope) };
  }

  @Serves(books.terms)
  async terms(): Promise<AnswerOf<typeof books.terms>> {
    return { rows: await this.termsOf.versions() };
  }
}

const nameOf = ({ from, to }: { from: string; to: string }): string => `return-${from}-to-${to}`;

function requireMonths(from: string, to: string): void {
  const months = monthsBetween(from, to).length;
  if (months < 1 || months > MOST_MONTHS)
    throw new InvalidRequest([
      {
        path: ['query', 'to'],
        message: `must be the month ${from} or one of the ${String(MOST_MONTHS - 1)} after it`,
      },
    ]);
}
