import { timingSafeEqual } from 'node:crypto';
import { Controller, Get, Injectable, Req, Res } from '@nestjs/common';
import type { NextFunction, Request, Response } from 'express';
import { collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Open } from './endpoint-handler.ts';
import { NotFound, Unauthenticated } from './refusals.ts';

const SECONDS = [0.005, 0.01, 0.02, 0.06, 0.1, 0.25, 0.5, 1, 2.5, 10, 60];

/** Figures for whoever watches over the server, in Prometheus' text format. No name, code or figure of the stock is in them. */
@Injectable()
export class Metrics {
  readonly #registry = new Registry();
  readonly #requests: Histogram<'method' | 'route' | 'status'>;
  readonly #token: string | null;

  constructor(token: string | null, reader: Reader) {
    this.#token = token;
    const registers = [this.#registry];
    collectDefaultMetrics({ register: this.#registry });
    this.#requests = new Histogram({
      name: 'rundlet_request_seconds',
      help: 'Time from a request to the end of its answer',
      labelNames: ['method', 'route', 'status'],
      buckets: SECONDS,
      registers,
    });
    // counted when asked for: both are a step down an index
    new Gauge({
      name: 'rundlet_journal_entries',
      help: 'Entries in the journal',
      registers,
      async collect() {
        const last = await reader.one<{ n: number | null }>(
          sql`SELECT MAX("seq") AS n FROM "journal_entry"`,
        );
        this.set(Number(last?.n ?? 0));
      },
    });
    new Gauge({
      name: 'rundlet_jobs',
      help: 'Background jobs that wait or run',
      labelNames: ['status'],
      registers,
      async collect() {
        const rows = await reader.all<{ status: string; n: number }>(
          sql`SELECT "status", COUNT(*) AS n FROM "job" WHERE "status" IN ('waiting', 'running') GROUP BY "status"`,
        );
        this.set({ status: 'waiting' }, 0);
        this.set({ status: 'running' }, 0);
        for (const { status, n } of rows) this.set({ status }, Number(n));
      },
    });
  }

  /** Times every request under its route's pattern: a path of its own would make a series for each cask. */
  readonly middleware = (request: Request, response: Response, next: NextFunction): void => {
    const stop = this.#requests.startTimer();
    response.on('finish', () => {
      const route = (request.route as { path?: unknown } | undefined)?.path;
      stop({
        method: request.method,
        route: typeof route === 'string' ? route : 'file or unknown',
        status: String(response.statusCode),
      });
    });
    next();
  };

  /** Whether the bearer token is the one that was set. @throws NotFound when none was */
  admits(authorization: string | undefined): boolean {
    if (this.#token === null)
      throw new NotFound('Metrics are served once RUNDLET_METRICS_TOKEN is set.');
    const given = Buffer.from(authorization ?? '');
    const wanted = Buffer.from(`Bearer ${this.#token}`);
    return given.length === wanted.length && timingSafeEqual(given, wanted);
  }

  text(): Promise<string> {
    return this.#registry.metrics();
  }

  get contentType(): string {
    return this.#registry.contentType;
  }
}

@Open()
@Controller()
export class MetricsController {
  constructor(private readonly metrics: Metrics) {}

  @Get('/metrics')
  async figures(@Req() request: Request, @Res() response: Response): Promise<void> {
    if (!this.metrics.admits(request.get('authorization')))
      throw new Unauthenticated('Metrics are for who has their token.');
    const text = await this.metrics.text();
    response.setHeader('content-type', this.metrics.contentType).end(text);
  }
}
