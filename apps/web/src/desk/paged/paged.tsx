import type { ReactNode } from 'react';
import { Failed, Loading } from '../../kit/kit.ts';

/** A paged list's states in one place. */
export function Paged<R>({
  list,
  rows,
  what,
  empty,
  children,
}: {
  list: { isError: boolean; isPending: boolean; error: unknown; refetch: () => unknown };
  rows: readonly R[];
  what: string;
  empty: ReactNode;
  children: ReactNode;
}) {
  if (list.isError) return <Failed error={list.error} retry={() => void list.refetch()} />;
  if (list.isPending) return <Loading what={what} />;
  if (rows.length === 0) return <>{empty}</>;
  return <>{children}</>;
}
