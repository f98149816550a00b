import type { AccountUnit, Posting } from '@rundlet/contracts';
import { CAUSE_WORDS } from '@rundlet/domain';
import { api, useApi } from '../../data/client.ts';
import { Dialog, Loaded } from '../../kit/kit.ts';
import type { AccountScope } from './account-fields.tsx';
import { PostingsTable } from './postings-table.tsx';

export interface ChosenFigure {
  readonly month: string;
  readonly cause: Posting['cause'];
  readonly scope: AccountScope;
}

/** The journal entries behind one figure of the return. */
export function PostingsDialog({
  figure: { month, cause, scope },
  unit,
  onClose,
}: {
  figure: ChosenFigure;
  unit: AccountUnit;
  onClose: () => void;
}) {
  const query = useApi(api.books.postings, { query: { month, cause, ...scope } });
  return (
    <Dialog title={`${CAUSE_WORDS[cause]}, ${month}`} open onClose={onClose}>
      <Loaded query={query}>
        {({ rows }) => (
          <PostingsTable caption="Entries behind the figure" rows={rows} unit={unit} />
        )}
      </Loaded>
    </Dialog>
  );
}
