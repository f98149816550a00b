import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf, type StocktakeLineView } from '@rundlet/contracts';
import type { Response } from 'express';
import { toCsv } from '../imports/csv.ts';
import { Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { StocktakeViews } from './stocktake-views.ts';

const { stocktakes } = api;

@Controller()
export class StocktakesController {
  constructor(private readonly views: StocktakeViews) {}

  @Serves(stocktakes.list)
  list(
    @Input() { query }: InputOf<typeof stocktakes.list>,
  ): Promise<AnswerOf<typeof stocktakes.list>> {
    return this.views.page(query);
  }

  @Serves(stocktakes.get)
  get(
    @Input() { params }: InputOf<typeof stocktakes.get>,
  ): Promise<AnswerOf<typeof stocktakes.get>> {
    return this.views.one(params.id);
  }

  @Serves(stocktakes.lines)
  lines(
    @Input() { params, query }: InputOf<typeof stocktakes.lines>,
  ): Promise<AnswerOf<typeof stocktakes.lines>> {
    return this.views.lines(params.id, query);
  }

  @Serves(stocktakes.sheet)
  async sheet(
    @Input() { params }: InputOf<typeof stocktakes.sheet>,
    @Res() response: Response,
  ): Promise<void> {
    const { stocktake } = await this.views.one(params.id);
    const lines: StocktakeLineView[] = [];
    let after: string | undefined;
    do {
      const page = await this.views.lines(params.id, { limit: 500, after });
      lines.push(...page.rows);
      after = page.next ?? undefined;
    } while (after !== undefined);
    sendFile(response, {
      name: `stock-take-${stocktake.code.replaceAll('/', '-')}.csv`,
      contentType: 'text/csv; charset=utf-8',
      content: toCsv(COLUMNS, lines.map(cells)),
    });
  }
}

const COLUMNS = [
  'cask',
  'expectedPosition',
  'foundPosition',
  'state',
  'timesCounted',
  'firstCountedAt',
  'damagedLabel',
  'movedDuringCount',
  'resolution',
];

const cells = ({ line, expectedPositionCode, foundPositionCode }: StocktakeLineView) => [
  line.code,
  expectedPositionCode,
  foundPositionCode,
  line.state,
  line.timesCounted,
  line.firstCountedAt,
  line.damagedLabel,
  line.movedDuringCount,
  line.resolution,
];
