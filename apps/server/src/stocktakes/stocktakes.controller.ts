import { Controller, Res } from '@nestjs/common';
import { api, type AnswerOf, type InputOf, type StocktakeLineView } from '@rundlet/contracts';
import type { Response } from 'express';
import { toCsv } from '../imports/csv.ts';
import { Input, sendFile, Serves } from '../platform/endpoint-handler.ts';
import { Accuracy } from './accuracy.ts';
import { Sheets } from './sheets.ts';
import { StocktakeProgressOf } from './stocktake-progress.ts';
import { StocktakeViews } from './stocktake-views.ts';

const { stocktakes } = api;

@Controller()
export class StocktakesController {
  constructor(
    private readonly views: StocktakeViews,
    private readonly progressOf: StocktakeProgressOf,
    private readonly accuracyOf: Accuracy,
    private readonly sheets: Sheets,
  ) {}

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

  @Serves(stocktakes.progress)
  progress(
    @Input() { params }: InputOf<typeof stocktakes.progress>,
  ): Promise<AnswerOf<typeof stocktakes.progress>> {
    return this.progressOf.one(params.id);
  }

  @Serves(stocktakes.accuracy)
  async accuracy(): Promise<AnswerOf<typeof stocktakes.accuracy>> {
    return { rows: await this.accuracyOf.history() };
  }

  @Serves(stocktakes.sheetPdf)
  async sheetPdf(
    @Input() { params }: InputOf<typeof stocktakes.sheetPdf>,
    @Res() response: Response,
  ): Promise<void> {
    const { stocktake, content } = await this.sheets.pdf(params.id);
    sendFile(response, {
      name: `${fileName(stocktake.code)}.pdf`,
      contentType: 'application/pdf',
      content,
    });
  }

  @Serves(stocktakes.sheet)
  async sheet(
    @Input() { params }: InputOf<typeof stocktakes.sheet>,
    @Res() response: Response,
  ): Promise<void> {
    const { stocktake } = await this.views.one(params.id);
    const lines = await this.views.allLines(params.id);
    sendFile(response, {
      name: `${fileName(stocktake.code)}.csv`,
      contentType: 'text/csv; charset=utf-8',
      content: toCsv(COLUMNS, lines.map(cells)),
    });
  }
}

const fileName = (code: string): string => `stock-take-${code.replaceAll('/', '-')}`;

const COLUMNS = [
  'cask',
  'expectedPosition',
  'foundPosition',
  'state',
  'timesCounted',
  'firstCountedAt',
  'damagedLabel',
  'recounts',
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
  line.recounts,
  line.expectedPositionId !== null && line.bookMoves.length > 0,
  line.resolution,
];
