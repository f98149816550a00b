import { useState } from 'react';
import { Link, useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { Assumptions } from '../forecast/assumptions.tsx';
import { Loaded, Page } from '../../kit/kit.ts';
import { useStores } from '../fields/place-fields.tsx';
import { FuturesView } from './futures-view.tsx';
import { WishFields } from './wish-fields.tsx';
import { changesOf, newWishes, troubles, yearsNeeded } from './wishes.ts';

/** A cask as it is, elsewhere, in other wood and held for longer, side by side. Nothing is written. */
export default function CaskWhatIfPage() {
  const { id = '' } = useParams<{ id: string }>();
  const today = new Date().toISOString().slice(0, 10);
  const [wishes, setWishes] = useState(() => newWishes(today));
  const card = useApi(api.casks.card, { params: { id } });
  const stores = useStores();
  const errors = troubles(wishes, today);
  const changes = changesOf(
    wishes,
    (zone) => stores.flatMap((s) => s.zones).find((z) => z.zone.id === zone)?.zone.name ?? 'a zone',
  );
  const query = useApi(
    api.maturation.whatIf,
    { params: { id }, body: { years: yearsNeeded(wishes, today), changes } },
    { enabled: Object.keys(errors).length === 0 },
  );
  return (
    <Page
      title={`What if: ${card.data?.cask.code ?? 'a cask'}`}
      lead={
        <>
          Tried on paper only: nothing is moved and nothing written.{' '}
          <Link href={`/forecast/casks/${id}`}>Back to its forecast</Link>
        </>
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
