import { api } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { chooseStore, refreshAisle, useAisle } from '../../data/aisle.ts';
import { useApi } from '../../data/client.ts';
import { Button, Card, Facts, format, Loaded, Mark, Notice, Page } from '../../kit/kit.ts';

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

function StorageState() {
  const [kept, setKept] = useState<boolean | null>(null);
  useEffect(() => {
    if (!('storage' in navigator)) return;
    void navigator.storage.persisted().then(setKept, () => {
      setKept(null);
    });
  }, []);
  if (!isSecureContext)
    return (
      <Notice tone="caution" title="This page does not come over https">
        So the browser cannot keep the program for use without a network, nor open the camera. A
        hand scanner, typed codes and photos work. The server’s guide says how to serve it over
        https on your own network.
      </Notice>
    );
  if (kept === true)
    return <Notice tone="good">The browser has promised not to clear this page’s storage.</Notice>;
  return (
    <Notice
      tone="caution"
      title="The browser may clear this storage"
      actions={
        <Button onClick={() => void navigator.storage.persist().then(setKept)}>
          Ask it to keep the storage
        </Button>
      }
    >
      When space runs short, or after a week unused on some phones. Put the page on the home screen,
      and send what waits before a long break.
    </Notice>
  );
}
