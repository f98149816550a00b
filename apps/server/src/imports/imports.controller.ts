import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Response } from 'express';
import type { Actor } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { csvLines } from './csv.ts';
import { Exports } from './exports.ts';
import { Importer } from './importer.ts';

const { imports } = api;

@Controller()
export class ImportsController {
  constructor(
    private readonly importer: Importer,
    private readonly exports: Exports,
  ) {}

  @Serves(imports.importCsv)
  async importCsv(
    @Input() { params, body }: InputOf<typeof imports.importCsv>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof imports.importCsv>> {
    return { jobId: await this.importer.start(params.kind, body.csv, body.apply, by.id) };
  }

  @Serves(imports.exportCsv)
  async exportCsv(
    @Input() { params }: InputOf<typeof imports.exportCsv>,
    @Res() response: Response,
  ): Promise<void> {
    response.setHeader('content-type', 'text/csv; charset=utf-8');
    response.setHeader('content-disposition', `attachment; filename="${params.kind}.csv"`);
    response.write(csvLines([[...this.exports.columns(params.kind)]]));
    for await (const rows of this.exports.rows(params.kind)) {
      // A slow reader must not fill the memory.
      if (!response.write(csvLines(rows)))
        await new Promise((resolve) => {
          response.once('drain', resolve);
          response.once('close', resolve);
        });
      if (response.destroyed) return;
    }
    response.end();
  }
}
