import { Injectable, type LoggerService } from '@nestjs/common';
import type { NextFunction, Response } from 'express';
import { v7 as uuid } from 'uuid';
import type { RundletRequest } from './actor.ts';

const LEVELS = ['info', 'warn', 'error', 'silent'] as const;
type Level = (typeof LEVELS)[number];

/** One JSON object a line on standard output. Bodies, query strings, cookies and tokens are never written. */
@Injectable()
export class Log implements LoggerService {
  readonly #least: number;
  readonly #write: (line: string) => void;

  constructor(least: Level, write: (line: string) => void) {
    this.#least = LEVELS.indexOf(least);
    this.#write = write;
  }

  info(message: string, facts: Readonly<Record<string, unknown>> = {}): void {
    this.#line('info', message, facts);
  }
  failure(message: string, error: unknown, facts: Readonly<Record<string, unknown>> = {}): void {
    const told = error instanceof Error ? (error.stack ?? error.message) : String(error);
    this.#line('error', message, { ...facts, error: told });
  }

  /** Nest tells of every route it maps; the documentation page does that better. */
  log(): void {
    return;
  }
  warn(message: unknown): void {
    this.#line('warn', String(message), {});
  }
  error(message: unknown, ...more: unknown[]): void {
    this.failure(message instanceof Error ? message.message : String(message), more[0] ?? message);
  }

  #line(level: Level, message: string, facts: Readonly<Record<string, unknown>>): void {
    if (LEVELS.indexOf(level) < this.#least) return;
    this.#write(JSON.stringify({ at: new Date().toISOString(), level, message, ...facts }));
  }
}

/** Gives each request an id (or takes the proxy's), and says how it ended. */
export function logRequests(log: Log) {
  return (request: RundletRequest, response: Response, next: NextFunction): void => {
    const given = request.get('x-request-id');
    const requestId = given && /^[\w.-]{8,64}$/.test(given) ? given : uuid();
    request.requestId = requestId;
    response.setHeader('x-request-id', requestId);
    const began = performance.now();
    response.on('finish', () => {
      log.info('request', {
        requestId,
        method: request.method,
        path: request.originalUrl.split('?', 1)[0],
        status: response.statusCode,
        ms: Math.round(performance.now() - began),
        actorId: request.actor?.id,
      });
    });
    next();
  };
}
