import type { UseQueryResult } from '@tanstack/react-query';
import { RefusedError, UnreachableError } from '@rundlet/client';
import type { ReactNode } from 'react';
import { Button } from './button.tsx';
import { Notice } from './surface.tsx';

export function Loading({ what = 'Loading' }: { what?: string }) {
  return (
    <div className="loading" role="status">
      {what} …
    </div>
  );
}

/** Nothing there yet: says why, and what to do about it. */
export function Empty({
  title,
  children,
  action,
}: {
  title: string;
  children?: ReactNode;
  action?: ReactNode;
}) {
  return (
    <div className="state">
      <p className="state-title">{title}</p>
      {children && <p>{children}</p>}
      {action}
    </div>
  );
}

/** What went wrong in words a person can act on. */
export function errorWords(error: unknown): { title: string; detail: string } {
  if (error instanceof UnreachableError)
    return {
      title: 'No connection to the server',
      detail:
        'What this page needs is not kept on this device. It loads by itself once the network is back.',
    };
  if (error instanceof RefusedError) return { title: error.problem.title, detail: error.message };
  return {
    title: 'This did not work',
    detail: error instanceof Error ? error.message : String(error),
  };
}

export function Failed({ error, retry }: { error: unknown; retry?: () => void }) {
  const { title, detail } = errorWords(error);
  return (
    <Notice
      tone="bad"
      live
      title={title}
      actions={retry && <Button onClick={retry}>Try again</Button>}
    >
      {detail === title ? null : detail}
    </Notice>
  );
}

/** A query's three states in one place: loading, failed, and what `children` makes of the data. */
export function Loaded<T>({
  query,
  what,
  children,
}: {
  query: UseQueryResult<T>;
  what?: string;
  children: (data: T) => ReactNode;
}) {
  if (query.data !== undefined) return <>{children(query.data)}</>;
  if (query.isError)
    return (
      <Failed
        error={query.error}
        retry={() => {
          void query.refetch();
        }}
      />
    );
  return <Loading {...(what === undefined ? {} : { what })} />;
}
