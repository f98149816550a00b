import { useState } from 'react';
import { Link, useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { Assumptions } from '../forecast/assumptions.tsx';
import { LinkButton, Loaded, Page } from '../../kit/kit.ts';
import { useStores } from '../fields/place-fields.tsx';
import { FuturesView } from './futures-view.tsx';
import { WishFields } from './wish-fields.tsx';
import { changesOf, newWishes, troubles, yearsNeeded, zoneNameIn } from './wishes.ts';

/** A cask as it is, elsewhere, in other wood and held for longer, side by side. Nothing is written. */
export default function CaskWhatIfPage() {
  const { id = '' } = useParams<{ id: string }>();
  const today = new Date().toISOString().slice(0, 10);
  const [wishes, setWishes] = useState(() => newWishes(today));
  const card = useApi(api.casks.card, { params: { id } });
  const stores = useStores();
  const errors = troubles(wishes, today);
  const changes = changesOf(wishes, zoneNameIn(stores));
  const query = useApi(
    api.maturation.whatIf,
    { params: { id }, body: { years: yearsNeeded(wishes, today), changes } },
    { enabled: Object.keys(errors).length === 0 },
  );
  const filling = card.data?.filling;
  const [lot] = Object.entries(filling?.lotShares ?? {}).sort(([, a], [, b]) => b - a);
  const day = filling?.filledAt.slice(0, 10);
  return (
    <Page
      title={`What if: ${card.data?.cask.code ?? 'a cask'}`}
      lead={
        <>
          Tried on paper only: nothing is moved and nothing written.{' '}
          <Link href={`/forecast/casks/${id}`}>Back to its forecast</Link>
        </>
      }
      actions={
        lot &&
        day && (
          <LinkButton
            to={`/what-if?spiritLotId=${lot[0]}&filledFrom=${day}&filledTo=${day}`}
            icon="swap"
          >
            Its whole parcel
          </LinkButton>
        )
      }
    >
      <WishFields wishes={wishes} onChange={setWishes} errors={errors} />
      <Loaded query={query} what="Trying the futures">
        {(answer) => (
          <div className="stack">
            <FuturesView answer={answer} wishes={wishes} />
            <Assumptions lines={answer.assumptions} />
          </div>
        )}
      </Loaded>
    </Page>
  );
}
