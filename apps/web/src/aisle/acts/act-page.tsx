import type { CaskCard } from '@rundlet/contracts';
import type { ReactNode } from 'react';
import { Link, useParams } from 'wouter';
import { useCask, type CaskBrief } from '../../data/cask.ts';
import { CodeText, Failed, format, Loading, Page } from '../../kit/kit.ts';
import { CaskSource } from '../cask/cask-head.tsx';

/** The frame of every act on one cask: which cask it is stays in sight. */
export function ActPage({
  title,
  lead,
  caution,
  children,
}: {
  title: string;
  lead?: ReactNode;
  caution?: ReactNode;
  children: (cask: CaskBrief, card: CaskCard | null) => ReactNode;
}) {
  const { id = '' } = useParams<{ id: string }>();
  const { brief, card, query } = useCask(id);
  return (
    <Page title={title} lead={lead} narrow>
      {brief ? (
        <>
          <CaskStrip cask={brief} />
          <CaskSource brief={brief} />
          {children(brief, card)}
        </>
      ) : query.isError ? (
        <Failed error={query.error} retry={() => void query.refetch()} />
      ) : (
        <Loading what="Fetching the cask" />
      )}
      {caution}
    </Page>
  );
}

export function CaskStrip({ cask }: { cask: CaskBrief }) {
  return (
    <div className="card line-spread">
      <Link href={`/casks/${cask.id}`}>
        <strong>
          <CodeText code={cask.code} />
        </strong>
      </Link>
      <span className="soft small">
        {cask.kind} · {cask.position?.words ?? 'no position'}
      </span>
      {cask.figures && (
        <span className="number small">
          {format.litres(cask.figures.bulkLitresAt20C)} at{' '}
          {format.strength(cask.figures.strengthPercentVol)}
        </span>
      )}
    </div>
  );
}
