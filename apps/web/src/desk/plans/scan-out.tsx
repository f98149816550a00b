import type { PlanView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { CaskField } from '../../aisle/fields/cask-field.tsx';
import { signal } from '../../aisle/reader/signal.ts';
import type { Match } from '../../data/resolve.ts';
import { CodeText, Empty, format, Notice } from '../../kit/kit.ts';
import { placeWords } from './pick-list.tsx';

/** In the aisle: where the next cask stands, and its label scanned before it is rolled out. */
export function ScanOut({ view }: { view: PlanView }) {
  const act = useAct('plan.scan-out');
  const [wrong, setWrong] = useState<string | null>(null);
  const [done, setDone] = useState<string | null>(null);
  const toFetch = view.picks.filter((p) => p.outAt === null && !p.drawn && p.obstacle === null);
  const [next] = toFetch;
  const take = async (match: Match) => {
    setDone(null);
    const pick = view.picks.find((p) => p.caskId === match.id);
    if (!pick || pick.drawn || pick.outAt !== null) {
      signal('doubtful');
      setWrong(
        pick
          ? `Cask ${match.code} is ${pick.drawn ? 'drawn' : 'scanned out'} already.`
          : `Cask ${match.code} is not in this plan. Leave it where it is.`,
      );
      return;
    }
    setWrong(null);
    const booked = await act.run(
      { planId: view.plan.id, caskId: pick.caskId, out: true },
      `Scan ${pick.caskCode} out for ${view.plan.code}`,
    );
    if (booked?.status === 'applied' || booked?.status === 'waiting') setDone(pick.caskCode);
  };
  if (!next)
    return (
      <Empty title="Every cask is out">
        Weigh or dip each at the vat, then draw it: that is the next step.
      </Empty>
    );
  return (
    <div className="stack">
      <div className="stop">
        <span className="soft">
          Next of {format.count(toFetch.length, 'cask')} to fetch
          {next.place && `: ${next.place.store}, ${next.place.zone}`}
        </span>
        <span className="stop-place">
          {next.place ? placeWords(next.place) : 'without a position: ask where it is'}
        </span>
        <span>
          <strong>
            <CodeText code={next.caskCode} />
          </strong>
          , {next.line}; {next.whole ? 'all of it' : `${format.litres(next.takeLitresAt20C)} of it`}
        </span>
      </div>
      {wrong && (
        <Notice tone="bad" live title="Not this one">
          {wrong}
        </Notice>
      )}
      {done && !wrong && (
        <Notice tone="good" live>
          {done} is out.
        </Notice>
      )}
      <ActOutcome act={act} pointers={['/caskId']} />
      {act.errors.at('/caskId') !== undefined && (
        <Notice tone="bad" live>
          {act.errors.at('/caskId')}
        </Notice>
      )}
      <CaskField
        label="Cask in front of you"
        hint="Scan its label or type its code; any cask of the plan will do"
        known={view.picks.map(({ caskId, caskCode }) => ({ id: caskId, code: caskCode }))}
        value={null}
        onChange={(match) => {
          if (match) void take(match);
        }}
      />
    </div>
  );
}
