import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import { History } from '../journal/history.ts';
import { Input, Serves } from '../platform/endpoint-handler.ts';
import { InvalidRequest } from '../platform/problem.ts';
import { monthsBetween, Returns } from './returns.ts';

const { books } = api;
const MOST_MONTHS = 600;

@Controller()
export class BooksController {
  constructor(
    private readonly returns: Returns,
    private readonly history: History,
  ) {}

  @Serves(books.months)
  async months(
    @Input() { query: { from, to, ...scope } }: InputOf<typeof books.months>,
  ): Promise<AnswerOf<typeof books.months>> {
    const months = monthsBetween(from, to).length;
    if (months < 1 || months > MOST_MONTHS)
      throw new InvalidRequest([
        {
          path: ['query', 'to'],
          message: `must be the month ${from} or one of the ${String(MOST_MONTHS - 1)} after it`,
        },
      ]);
    return {
      rows: await this.returns.months(from, to, scope),
      holdsNowLitresPureAlcohol: await this.returns.holdsNow(scope),
    };
  }

  @Serves(books.postings)
  async postings(
    @Input() { query }: InputOf<typeof books.postings>,
  ): Promise<AnswerOf<typeof books.postings>> {
    const postings = await this.returns.postings(query);
    const words = await this.history.wordsOf(postings.map((p) => p.entryId));
    return {
      rows: postings.map(({ entryId, at, vesselKind, code, ethanolMg }) => ({
        entryId,
        at,
        vesselKind,
        vesselCode: code ?? '',
        litresPureAlcohol: litresPureAlcoholOfMg(ethanolMg),
        words: words.get(entryId) ?? '',
      })),
    };
  }
}
