import type { BlendAnswerPart, BlendChoice } from '@rundlet/contracts';
import { useState } from 'react';
import { Link } from 'wouter';
import { Button, Card, format, Table, type Column } from '../../kit/kit.ts';
import type { NamedCask } from './wishes.ts';

/** What to hold on to and what to leave alone when the rest is planned again. */
export interface Replan {
  readonly locks: readonly (NamedCask & { litres: number | null })[];
  readonly exclude: readonly NamedCask[];
}
type Mark = 'keep' | 'out';

const nameOf = (part: BlendAnswerPart): NamedCask => ({ id: part.caskId, code: part.caskCode });

/** The casks of a plan in walking order; ticked ones are kept or left out, and the rest is planned again. */
export function PartsTable({
  plan,
  onReplan,
}: {
  plan: BlendChoice;
  onReplan: ((replan: Replan) => void) | undefined;
}) {
  const { parts } = plan;
  const [marks, setMarks] = useState<ReadonlyMap<string, Mark>>(
    () => new Map(parts.filter((p) => p.locked).map((p) => [p.fillingId, 'keep'])),
  );
  const mark = (id: string, as: Mark, on: boolean) => {
    const next = new Map(marks);
    if (on) next.set(id, as);
    else next.delete(id);
    setMarks(next);
  };
  const marked = (as: Mark) => parts.filter((p) => marks.get(p.fillingId) === as);
  const kept = marked('keep');
  const out = marked('out');
  const tick = (as: Mark, title: string, words: string): Column<BlendAnswerPart> => ({
    key: as,
    title,
    cell: (p) => (
      <label className="tick">
        <input
          type="checkbox"
          checked={marks.get(p.fillingId) === as}
          onChange={(event) => {
            mark(p.fillingId, as, event.target.checked);
          }}
        />
        <span className="visually-hidden">
          {words} {p.caskCode}
        </span>
      </label>
    ),
  });
  return (
    <Card title={format.count(parts.length, 'cask')}>
      <div className="stack parts">
        <Table
          caption="Casks chosen, in walking order"
          rows={parts}
          rowKey={(p) => p.fillingId}
          columns={[
            {
              key: 'cask',
              title: 'Cask',
              cell: (p) => <Link href={`/casks/${p.caskId}`}>{p.caskCode}</Link>,
            },
            ...(onReplan
              ? [tick('keep', 'Keep', 'Keep'), tick('out', 'Leave out', 'Leave out')]
              : []),
            {
              key: 'take',
              title: 'Take, L (forecast)',
              numeric: true,
              cell: (p) =>
                p.whole
                  ? `all, ${format.number(p.takeLitresAt20C, 1)}`
                  : `${format.number(p.takeLitresAt20C, 1)}, leaves ${format.number(p.heelLitresAt20C, 1)}`,
            },
            {
              key: 'strength',
              title: '% vol',
              numeric: true,
              cell: (p) => format.number(p.strengthPercentVol, 2),
            },
            {
              key: 'age',
              title: 'Age, y',
              numeric: true,
              cell: (p) => format.number(p.ageYears, 1),
            },
            {
              key: 'share',
              title: 'Of alcohol',
              numeric: true,
              cell: (p) => format.percent(p.shareOfAlcohol, 1),
            },
            {
              key: 'what',
              title: 'What it is',
              cell: (p) => <span className="part-words">{p.line}</span>,
            },
            {
              key: 'place',
              title: 'Where',
              cell: (p) => <span className="part-words">{p.place ?? 'no position'}</span>,
            },
          ]}
        />
        {onReplan && (
          <div className="line">
            <Button
              icon="lock"
              disabled={kept.length + out.length === 0}
              onClick={() => {
                onReplan({
                  locks: kept.map((p) => ({
                    ...nameOf(p),
                    litres: p.whole ? null : p.takeLitresAt20C,
                  })),
                  exclude: out.map(nameOf),
                });
              }}
            >
              Plan the rest again
            </Button>
            <span className="soft">
              {kept.length + out.length === 0
                ? 'Tick casks to keep or to leave out first.'
                : `${format.count(kept.length, 'cask')} kept, ${format.number(out.length)} left out.`}
            </span>
          </div>
        )}
      </div>
    </Card>
  );
}
