import type { ReactNode } from 'react';
import { useAisle } from '../../data/aisle.ts';
import type { AisleIndex } from '../../data/aisle-index.ts';
import { Empty, LinkButton, Loading } from '../../kit/kit.ts';
import { StoreLine } from './store-line.tsx';

/** What a page shows from the store that this device holds, or the way to choose one; which store it is stands below. */
export function StoreOnDevice({ children }: { children: (index: AisleIndex) => ReactNode }) {
  const { index, ready } = useAisle();
  return (
    <>
      {index ? (
        children(index)
      ) : ready ? (
        <Empty
          title="This device holds no store yet"
          action={<LinkButton to="/store">Choose one</LinkButton>}
        />
      ) : (
        <Loading />
      )}
      <StoreLine />
    </>
  );
}
