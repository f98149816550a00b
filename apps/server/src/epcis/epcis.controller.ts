import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Response } from 'express';
import type { Actor } from '../platform/actor.ts';
import { By, Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { EventExports } from './event-exports.ts';
import { EventImports } from './event-imports.ts';

const { epcis } = api;

@Controller()
export class EpcisController {
  constructor(
    private readonly exports: EventExports,
    private readonly imports: EventImports,
  ) {}

  @Serves(epcis.exportEvents)
  async export(
    @Input() { query }: InputOf<typeof epcis.exportEvents>,
    @Res() response: Response,
  ): Promise<void> {
    sendFile(response, {
      name: 'events.jsonld',
      contentType: 'application/ld+json',
      content: `${JSON.stringify(await this.exports.document(query), null, 1)}\n`,
    });
  }

  @Serves(epcis.importEvents)
  import(
    @Input() { body }: InputOf<typeof epcis.importEvents>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof epcis.importEvents>> {
    return this.imports.run(body.document, body.apply, by);
  }
}
