import { api } from '@rundlet/contracts';
import { chooseStore, refreshAisle, useAisle } from '../../data/aisle.ts';
import { useApi } from '../../data/client.ts';
import { Button, Card, Facts, format, Loaded, Mark, Page } from '../../kit/kit.ts';
import { StorageState } from './storage-state.tsx';

/** Which store's casks this device keeps, and whether the browser may throw them away. */
export default function StorePage() {
  const stores = useApi(api.places.stores);
  const { index, storeId, fetching } = useAisle();
  return (
    <Page
      title="Store on this device"
      lead="Its casks and positions are kept here, so that scanning, counting, moving and gauging work without a network."
      narrow
    >
      {index && (
        <Card
          title={index.snapshot.store.name}
          aside={
            <Button busy={fetching} onClick={() => void refreshAisle({ evenIfFresh: true })}>
              {fetching ? 'Fetching …' : 'Fetch again'}
            </Button>
          }
        >
          <Facts
            facts={[
              ['Casks kept', format.number(index.snapshot.casks.length)],
              ['Positions kept', format.number(index.snapshot.positions.length)],
              ['As of', format.dateTime(index.snapshot.madeAt)],
            ]}
          />
        </Card>
      )}
      <Loaded query={stores} what="Asking for the stores">
        {({ rows }) => (
          <ul className="bare-list stack-tight">
            {rows.map(({ store, zones }) => (
              <li key={store.id} className="card line-spread">
                <span>
                  <strong>{store.name}</strong>{' '}
                  <span className="soft">
                    {format.count(
                      zones.reduce((sum, zone) => sum + zone.casks, 0),
                      'cask',
                    )}
                  </span>
                </span>
                {store.id === storeId ? (
                  <Mark tone="good">on this device</Mark>
                ) : (
                  <Button busy={fetching} onClick={() => void chooseStore(store.id)}>
                    Keep this one
                  </Button>
                )}
              </li>
            ))}
          </ul>
        )}
      </Loaded>
      <StorageState />
    </Page>
  );
}
