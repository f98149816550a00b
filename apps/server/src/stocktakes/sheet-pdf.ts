/** A stock-take's sheet on paper: what was counted, what differed and why, and who stands for it. */
import type { Stocktake, StocktakeLineView, StocktakeTally } from '@rundlet/contracts';
import { Paper, type PaperColumn } from '../reports/paper.ts';

export interface SheetFacts {
  readonly estateName: string;
  readonly stocktake: Stocktake;
  readonly tally: StocktakeTally;
  readonly lines: readonly StocktakeLineView[];
  readonly scope: string;
  readonly openedBy: string;
  readonly reconciledBy: string | null;
  readonly signedBy: string | null;
  readonly counters: readonly { readonly name: string; readonly casks: number }[];
  readonly sampleSays: string | null;
  /** Words for the positions that the lines name. */
  readonly places: ReadonlyMap<string, string>;
  readonly printedAt: string;
}

const COLUMNS: readonly PaperColumn[] = [
  { title: 'Code', at: 0, width: 74 },
  { title: 'State', at: 78, width: 66 },
  { title: 'By the book', at: 148, width: 118 },
  { title: 'Found at', at: 270, width: 118 },
  { title: 'Settled, and why', at: 392, width: 107 },
];

const WORDS: Record<StocktakeLineView['line']['state'], string> = {
  expected: 'not seen',
  found: 'found',
  misplaced: 'misplaced',
  missing: 'missing',
  unknown: 'unknown',
  left: 'left by the book',
};

export async function sheetPdf(facts: SheetFacts): Promise<Uint8Array> {
  const paper = await Paper.begin(`Stock-take ${facts.stocktake.code}`);
  head(paper, facts);
  const differences = facts.lines.filter(({ line }) => line.state !== 'found');
  paper.title(`Differences (${String(differences.length)})`);
  if (differences.length === 0) paper.text('None: every cask stood where the book has it.');
  else table(paper, differences, facts);
  signatures(paper, facts);
  paper.title(`Every line, in walking order (${String(facts.lines.length)})`);
  table(paper, facts.lines, facts);
  return paper.end(`${facts.estateName} · stock-take ${facts.stocktake.code}`);
}

function head(paper: Paper, facts: SheetFacts): void {
  const { stocktake, tally } = facts;
  paper.text(facts.estateName, { soft: true });
  paper.text(stocktake.title, { size: 18, bold: true });
  const status = {
    open: 'Open: not settled and not signed',
    reconciled: 'Settled, not signed yet',
    signed: 'Signed',
    abandoned: `Given up: ${stocktake.statement ?? ''}`,
  }[stocktake.status];
  for (const [name, value] of [
    ['Code', stocktake.code],
    ['State', status],
    ['Scope', facts.scope],
    ['Opened', `${instant(stocktake.openedAt)}, by ${facts.openedBy}`],
    ['Counted', stocktake.blind ? 'blind: counters were not shown the book' : 'guided by the book'],
    ['Counters', facts.counters.map((c) => `${c.name} (${String(c.casks)})`).join(', ') || 'none'],
    ['Printed', instant(facts.printedAt)],
  ] as const)
    paper.fact(name, value);
  paper.gap(4);
  paper.text(
    [
      `${String(tally.expected)} expected`,
      `${String(tally.found)} found`,
      `${String(tally.misplaced)} misplaced`,
      `${String(tally.missing)} missing`,
      `${String(tally.stillToFind)} not seen`,
      `${String(tally.unknown)} unknown`,
      `${String(tally.twice)} counted twice`,
      `${String(tally.damagedLabels)} labels damaged`,
      `${String(tally.left)} left by the book meanwhile`,
      `${String(tally.extra)} come by the book meanwhile`,
    ].join(' · '),
    { bold: true },
  );
  if (facts.sampleSays) paper.text(facts.sampleSays);
}

function table(paper: Paper, lines: readonly StocktakeLineView[], facts: SheetFacts): void {
  paper.table(
    COLUMNS,
    lines.map(({ line }) => {
      const remarks = [
        line.timesCounted > 1 ? `${String(line.timesCounted)} times` : '',
        line.damagedLabel ? 'label' : '',
        line.bookMoves.length > 0 && line.expectedPositionId !== null ? 'moved' : '',
      ].filter(Boolean);
      return [
        line.code,
        [WORDS[line.state], ...remarks].join(', '),
        facts.places.get(line.expectedPositionId ?? '') ?? '',
        facts.places.get(line.foundPositionId ?? '') ?? '',
        line.resolution?.replace(/^[a-z-]+: /, '') ?? '',
      ];
    }),
  );
}

function signatures(paper: Paper, facts: SheetFacts): void {
  const { stocktake } = facts;
  paper.title('Who stands for it');
  paper.fact('Settled by', facts.reconciledBy ?? '____________________________');
  paper.fact(
    'Signed by',
    facts.signedBy && stocktake.signedAt
      ? `${facts.signedBy}, ${instant(stocktake.signedAt)}: ${stocktake.statement ?? ''}`
      : '____________________________',
  );
}

const instant = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;
