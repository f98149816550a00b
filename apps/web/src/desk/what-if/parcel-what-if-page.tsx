import { StockScope } from '@rundlet/contracts';
import { useState } from 'react';
import { useSearch } from 'wouter';
import { api } from '../../data/client.ts';
import { Card, Empty, format, Page } from '../../kit/kit.ts';
import { useStores } from '../fields/place-fields.tsx';
import { ScopeFields } from '../fields/scope-fields.tsx';
import { Assumptions } from '../forecast/assumptions.tsx';
import { Soon, useSoon } from '../jobs/soon.tsx';
import { FuturesView } from './futures-view.tsx';
import { WishFields } from './wish-fields.tsx';
import { changesOf, newWishes, troubles, yearsNeeded, zoneNameIn } from './wishes.ts';

/** A parcel, or any casks a filter finds, as they are and changed alike, side by side. Nothing is written. */
export default function ParcelWhatIfPage() {
  const search = useSearch();
  const today = new Date().toISOString().slice(0, 10);
  const [wishes, setWishes] = useState(() => newWishes(today));
  const [scope, setScope] = useState<StockScope>(() => {
    const given = StockScope.safeParse(Object.fromEntries(new URLSearchParams(search)));
    return given.success ? given.data : {};
  });
  const stores = useStores();
  const errors = troubles(wishes, today);
  const chosen = Object.keys(scope).length > 0;
  const body = {
    scope,
    years: yearsNeeded(wishes, today),
    changes: changesOf(wishes, zoneNameIn(stores)),
  };
  const query = useSoon(
    api.maturation.stockWhatIf,
    { body },
    { enabled: chosen && Object.keys(errors).length === 0 },
  );
  return (
    <Page
      title="What if: a parcel"
      lead="Tried on paper only: nothing is moved and nothing written. Every cask is changed alike."
    >
      <Card title="Which casks">
        <div className="grid">
          <ScopeFields scope={scope} onChange={setScope} />
        </div>
      </Card>
      <WishFields wishes={wishes} onChange={setWishes} errors={errors} />
      {chosen ? (
        <Soon query={query} what="Trying the futures">
          {(answer) =>
            answer.casks === 0 ? (
              <Empty title="No cask with spirit meets all of this">Leave a wish out.</Empty>
            ) : (
              <div className="stack">
                <p>{format.count(answer.casks, 'cask')} together.</p>
                <FuturesView answer={answer} wishes={wishes} />
                <Assumptions lines={answer.assumptions} />
              </div>
            )
          }
        </Soon>
      ) : (
        <Empty title="Say which casks">
          A store, a kind of wood or a time of filling is enough.
        </Empty>
      )}
    </Page>
  );
}
