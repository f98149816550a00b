import type { PickRow, PickStop, PlanView } from '@rundlet/contracts';
import { Link } from 'wouter';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, CodeText, format, Mark } from '../../kit/kit.ts';
import { WalkButton } from '../../aisle/walk/walk-button.tsx';
import { PickMap } from './pick-map.tsx';
import './plan.css';

/** “bay 4 · level 2 · slot 1”, within a row that is named above. */
const placeInRow = ({ bay, level, slot }: NonNullable<PickStop['place']>): string =>
  `bay ${bay} · level ${level} · slot ${slot}`;
export const placeWords = (place: NonNullable<PickStop['place']>): string =>
  `row ${place.row} · ${placeInRow(place)}`;

/** The casks in walking order, row by row with a drawing of each, to be ticked off on paper or on the screen. */
export function PickList({ view }: { view: PlanView }) {
  const { picks, rows, plan } = view;
  const left = picks.filter((p) => !p.drawn).length;
  const numberOf = (pick: PickStop) => picks.indexOf(pick) + 1;
  const open = plan.status === 'reserved' || plan.status === 'drawing';
  const without = picks.filter((p) => p.place === null);
  return (
    <Card
      title="Pick list, in walking order"
      aside={
        <span className="line not-printed">
          <WalkButton
            casks={picks
              .filter((p) => !p.drawn)
              .map(({ caskId, caskCode }) => ({ id: caskId, code: caskCode }))}
          />
          {left === 0 ? 'all drawn' : `${format.count(left, 'cask')} to draw`}
        </span>
      }
    >
      <div className="stack">
        {rows.map((row) => (
          <RowOfPicks
            key={`${row.zoneId} ${row.row}`}
            row={row}
            picks={picks.filter((p) => isIn(row, p))}
            {...{ numberOf, plan, open }}
          />
        ))}
        {without.length > 0 && (
          <section className="stack-tight">
            <h3>Without a position</h3>
            <Picks picks={without} {...{ numberOf, plan, open }} />
          </section>
        )}
      </div>
    </Card>
  );
}

const isIn = (row: PickRow, { place }: PickStop): boolean =>
  place !== null && place.row === row.row && place.zone === row.zone && place.store === row.store;

interface PicksProps {
  readonly picks: readonly PickStop[];
  readonly numberOf: (pick: PickStop) => number;
  readonly plan: PlanView['plan'];
  readonly open: boolean;
}

function RowOfPicks({ row, ...props }: PicksProps & { row: PickRow }) {
  return (
    <section className="stack-tight">
      <h3>
        {row.store} · {row.zone} · row {row.row}
      </h3>
      <PickMap row={row} picks={props.picks} numberOf={props.numberOf} />
      <Picks {...props} />
    </section>
  );
}

function Picks({ picks, numberOf, plan, open }: PicksProps) {
  return (
    <ol className="picks">
      {picks.map((pick) => (
        <li key={pick.fillingId} className="pick" data-done={pick.drawn} value={numberOf(pick)}>
          <span className="pick-number">{numberOf(pick)}</span>
          <div>
            <span className="pick-where">
              {pick.place ? placeInRow(pick.place) : 'no position'}
            </span>{' '}
            <Link href={`/casks/${pick.caskId}`}>
              <CodeText code={pick.caskCode} />
            </Link>
            <span className="pick-what">
              <span>
                {pick.whole ? 'all of it, ' : 'part, '}
                {format.litres(pick.takeLitresAt20C)} at {format.strength(pick.strengthPercentVol)}{' '}
                (forecast)
              </span>
              <span className="soft">{pick.line}</span>
            </span>
          </div>
          <PickState pick={pick} planId={plan.id} open={open} />
        </li>
      ))}
    </ol>
  );
}

function PickState({ pick, planId, open }: { pick: PickStop; planId: string; open: boolean }) {
  const act = useAct('plan.scan-out');
  const may = useMay();
  return (
    <div className="pick-state">
      <span className="tick-box" />
      <span className="not-printed">
        {pick.drawn ? (
          <Mark tone="good">drawn</Mark>
        ) : pick.obstacle !== null ? (
          <Mark tone="bad">{pick.obstacle}</Mark>
        ) : pick.outAt !== null ? (
          <Mark tone="caution" icon="move">
            out
          </Mark>
        ) : (
          <Mark icon="wait">to fetch</Mark>
        )}
      </span>
      {open && pick.outAt !== null && !pick.drawn && may('warehouse') && (
        <span className="not-printed">
          <Button
            kind="quiet"
            icon="undo"
            busy={act.busy}
            onClick={() => {
              void act.run(
                { planId, caskId: pick.caskId, out: false },
                `Put ${pick.caskCode} back`,
              );
            }}
          >
            Put back
          </Button>
          <ActOutcome act={act} pointers={[]} />
        </span>
      )}
    </div>
  );
}
