import { Link } from 'wouter';
import { useAisle } from '../../data/aisle.ts';
import * as format from '../../kit/format.ts';
import { Icon } from '../../kit/icon.tsx';

/** Which store this device holds for work without a network, and of when. */
export function StoreLine() {
  const { ready, index, fetching } = useAisle();
  if (!ready) return null;
  return (
    <p className="store-line small soft">
      <Icon name="store" />
      {index ? (
        <span>
          This device holds <strong>{index.snapshot.store.name}</strong>:{' '}
          {format.count(index.snapshot.casks.length, 'cask')}, as of{' '}
          {format.dateTime(index.snapshot.madeAt)}.
        </span>
      ) : (
        <span>{fetching ? 'Fetching the store …' : 'This device holds no store yet.'}</span>
      )}
      <Link href="/store">Change</Link>
    </p>
  );
}
