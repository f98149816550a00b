import type { StocktakeTally } from '@rundlet/contracts';
import { Figure, Figures, Progress } from '../../kit/kit.ts';

export function TallyFigures({ tally }: { tally: StocktakeTally }) {
  const done = tally.expected === 0 ? 0 : 1 - tally.stillToFind / tally.expected;
  const entries: readonly (readonly [string, number])[] = [
    ['Expected', tally.expected],
    ['Found', tally.found],
    ['Misplaced', tally.misplaced],
    ['Missing', tally.missing],
    ['Still to find', tally.stillToFind],
    ['Unknown', tally.unknown],
    ['Counted twice', tally.twice],
    ['Labels damaged', tally.damagedLabels],
    ['Left by the book', tally.left],
    ['Come by the book', tally.extra],
  ];
  return (
    <div className="stack">
      <Progress label="Counted" value={Math.max(0, done)} />
      <Figures>
        {entries.map(([label, value]) => (
          <Figure key={label} label={label} value={value} unit="" decimals={0} />
        ))}
      </Figures>
    </div>
  );
}
