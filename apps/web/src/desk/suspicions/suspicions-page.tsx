import { useState } from 'react';
import { VapourCaution } from '../../aisle/cautions.tsx';
import { api, useApi } from '../../data/client.ts';
import { Empty, Loaded, Page } from '../../kit/kit.ts';
import { StoreField } from '../fields/place-fields.tsx';
import { SuspicionCard } from './suspicion-card.tsx';

/** Casks whose latest gauge looks like a leak or a blunder; a keeper has the last word on each. */
export default function SuspicionsPage() {
  const [storeId, setStoreId] = useState('');
  const query = useApi(api.maturation.suspicions, { query: storeId ? { storeId } : {} });
  return (
    <Page
      title="Leaks and doubtful readings"
      lead="Raised when a gauge came in, against the forecast that stood. What you say of each is kept in the journal, and the forecasts learn from it."
    >
      <div className="grid">
        <StoreField value={storeId} onChange={setStoreId} />
      </div>
      <Loaded query={query} what="Asking for the suspicions">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="Nothing is suspected here">
              The latest gauge of every cask agrees with its forecast, or somebody has looked.
            </Empty>
          ) : (
            <div className="stack">
              {rows.map((row) => (
                <SuspicionCard key={row.gaugeId} suspicion={row} />
              ))}
              <VapourCaution />
            </div>
          )
        }
      </Loaded>
    </Page>
  );
}
