import { Controller, Get, HttpCode } from '@nestjs/common';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Open } from './endpoint-handler.ts';
import { Log } from './log.ts';
import { Refusal } from './refusals.ts';

const PATIENCE_MS = 3000;
const tooLate = (): Promise<never> =>
  new Promise((_, refuse) => {
    setTimeout(() => {
      refuse(new Error(`The database did not answer within ${String(PATIENCE_MS)} ms.`));
    }, PATIENCE_MS).unref();
  });

/** For whatever watches over the server. */
@Open()
@Controller()
export class HealthController {
  constructor(
    private readonly reader: Reader,
    private readonly log: Log,
  ) {}

  /** The process lives. */
  @Get('/health')
  @HttpCode(200)
  health(): { status: string } {
    return { status: 'ok' };
  }

  /** The process can do its work: the database answers. */
  @Get('/ready')
  @HttpCode(200)
  async ready(): Promise<{ status: string }> {
    try {
      await Promise.race([this.reader.one(sql`SELECT 1 AS one`), tooLate()]);
    } catch (error) {
      this.log.failure('the database does not answer', error);
      throw new Refusal(503, 'not-ready', 'The database does not answer.');
    }
    return { status: 'ready' };
  }
}
