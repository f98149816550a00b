import { Link } from 'wouter';
import { positionShort, type AisleCask } from '../../data/aisle-index.ts';
import { Card, CodeText, format, Notice } from '../../kit/kit.ts';
import { WeightCaution } from '../cautions.tsx';
import type { SlotSign } from './rack-drawing.tsx';
import type { Slot, Way } from './racks.ts';

/** The places to clear, numbered as their turn comes. */
export const turnsOf = ({ lifts }: Way): ReadonlyMap<string, SlotSign> =>
  new Map(
    lifts.flatMap((lift, i) =>
      lift.map(({ position }): [string, SlotSign] => [
        position.id,
        { look: 'in-the-way', words: `to be shifted, turn ${String(i + 1)}`, turn: i + 1 },
      ]),
    ),
  );

/** What is shifted to reach a cask, in order; or that nothing is, or that nobody can tell. */
export function WayThere({ way, cask }: { way: Way; cask: AisleCask | null }) {
  const { stow, lifts, beside } = way;
  if (!stow)
    return (
      <Notice title="What lies in its way is not known">
        Nobody has said yet how this zone is stowed.
      </Notice>
    );
  const what = cask ? `cask ${cask.code}` : 'this place';
  return (
    <>
      <Card
        title={
          lifts.length === 0
            ? 'Nothing to shift'
            : `Shift ${format.count(lifts.length, stow.kind === 'palletised' ? 'pallet' : 'place')} first`
        }
      >
        {lifts.length === 0 ? (
          <p>By the book, {what} is reached as it stands.</p>
        ) : (
          <ol className="lifts" aria-label={`To be shifted to reach ${what}, in order`}>
            {lifts.map((lift) => (
              <li key={lift[0]?.position.id}>
                <Lift lift={lift} />
              </li>
            ))}
          </ol>
        )}
        {beside.length > 0 && (
          <p>
            {stow.kind === 'palletised' ? 'On its pallet: ' : 'In the same place: '}
            <Codes casks={beside} />
            {stow.kind === 'dunnage' && '. Which of them lies in front is not on record.'}
          </p>
        )}
      </Card>
      {lifts.length > 0 && <WeightCaution />}
    </>
  );
}

const Lift = ({ lift }: { lift: readonly Slot[] }) => (
  <span className="line">
    <Codes casks={lift.flatMap(({ casks }) => casks)} />
    <span className="soft">{lift.map(({ position }) => positionShort(position)).join(', ')}</span>
  </span>
);

const Codes = ({ casks }: { casks: readonly AisleCask[] }) => (
  <span>
    {casks.map(({ id, code }, i) => (
      <span key={id}>
        {i > 0 && ', '}
        <Link href={`/casks/${id}`}>
          <CodeText code={code} />
        </Link>
      </span>
    ))}
  </span>
);
