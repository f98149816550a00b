import { Catch, type ArgumentsHost, type ExceptionFilter } from '@nestjs/common';
import type { Response } from 'express';
import { databaseTrouble } from '../database/trouble.ts';
import type { RundletRequest } from './actor.ts';
import { Log } from './log.ts';
import { toProblem } from './problem.ts';
import { Refusal } from './refusals.ts';

@Catch()
export class ProblemFilter implements ExceptionFilter {
  constructor(private readonly log: Log) {}

  catch(thrown: unknown, host: ArgumentsHost): void {
    const http = host.switchToHttp();
    const request = http.getRequest<RundletRequest>();
    const response = http.getResponse<Response>();
    const error = databaseTrouble(thrown) ?? thrown;
    const problem = toProblem(error, request.originalUrl);
    if (problem.status >= 500)
      this.log.failure('request failed', thrown, { requestId: request.requestId });
    if (response.headersSent) {
      response.end();
      return;
    }
    if (error instanceof Refusal && error.retryAfterSeconds !== null)
      response.setHeader('retry-after', String(error.retryAfterSeconds));
    response.status(problem.status).type('application/problem+json').send(JSON.stringify(problem));
  }
}
