import './return.css';
import type { ReturnLine } from '@rundlet/contracts';
import { useState } from 'react';
import { api, useApi } from '../../data/client.ts';
import {
  Empty,
  Figure,
  Figures,
  format,
  Loaded,
  Notice,
  Page,
  Table,
  TextField,
} from '../../kit/kit.ts';
import { OwnerField, StoreField, useAccounts, useStores } from '../fields/place-fields.tsx';
import { PostingsDialog } from './postings-dialog.tsx';
import { CAUSE_WORDS, causesIn, monthsBack } from './return-lines.ts';

type Chosen = { month: string; cause: ReturnLine['movements'][number]['cause']; accountId: string };

/** Opening stock, what came and went by cause, closing stock, month by month; every figure opens its entries. */
export default function ReturnPage() {
  const now = new Date().toISOString().slice(0, 7);
  const [from, setFrom] = useState(monthsBack(now, 11));
  const [to, setTo] = useState(now);
  const [accountId, setAccountId] = useState('');
  const [storeId, setStoreId] = useState('');
  const [chosen, setChosen] = useState<Chosen | null>(null);
  const accounts = useAccounts();
  const stores = useStores();
  const scope = { ...(accountId ? { accountId } : {}), ...(storeId ? { storeId } : {}) };
  const months = /^\d{4}-(0[1-9]|1[0-2])$/;
  const usable = months.test(from) && months.test(to) && from <= to;
  const query = useApi(api.books.months, { query: { from, to, ...scope } }, { enabled: usable });
  const nameOf = (id: string) => accounts.find((a) => a.id === id)?.name ?? id.slice(-6);
  const storeOf = (id: string | null) => stores.find((s) => s.store.id === id)?.store.name ?? '–';
  return (
    <Page
      title="The return"
      lead="Litres of pure alcohol under duty suspension. Opening + movements = closing, to the milligram of ethanol."
    >
      <Notice tone="caution">
        Allowances, rounding and the form of the return are set by your authority: check with it
        before you file.
      </Notice>
      <div className="grid">
        <TextField
          label="From month"
          value={from}
          onChange={setFrom}
          hint="like 2026-03"
          error={months.test(from) ? undefined : 'a month is needed, like 2026-03'}
        />
        <TextField
          label="To month"
          value={to}
          onChange={setTo}
          error={
            !months.test(to)
              ? 'a month is needed, like 2026-03'
              : from > to
                ? 'must not be before the first'
                : undefined
          }
        />
        <OwnerField value={accountId} onChange={setAccountId} />
        <StoreField value={storeId} onChange={setStoreId} />
      </div>
      <Loaded query={query} what="Adding up the months">
        {(answer) => {
          if (answer.rows.length === 0)
            return <Empty title="Nothing moved in these months">Choose other months.</Empty>;
          const causes = causesIn(answer.rows);
          return (
            <div className="stack">
              <Figures>
                <Figure
                  label="Held now"
                  value={answer.holdsNowLitresPureAlcohol}
                  unit="LPA"
                  decimals={3}
                  origin="calculated"
                  note="sum of all vessels"
                />
              </Figures>
              <Table
                caption="Return by month"
                rows={answer.rows}
                rowKey={(r) => `${r.month}:${r.accountId}:${r.storeId ?? ''}`}
                columns={[
                  { key: 'month', title: 'Month', cell: (r) => r.month.replace('-', '\u2011') },
                  { key: 'account', title: 'Account', cell: (r) => nameOf(r.accountId) },
                  { key: 'store', title: 'Store', cell: (r) => storeOf(r.storeId) },
                  {
                    key: 'opening',
                    title: 'Opening',
                    numeric: true,
                    cell: (r) => format.number(r.openingLitresPureAlcohol, 2),
                  },
                  ...causes.map((cause) => ({
                    key: cause,
                    title: CAUSE_WORDS[cause],
                    numeric: true,
                    cell: (r: ReturnLine) => {
                      const m = r.movements.find((x) => x.cause === cause);
                      if (!m) return '';
                      return (
                        <button
                          type="button"
                          className="link-button"
                          onClick={() => {
                            setChosen({ month: r.month, cause, accountId: r.accountId });
                          }}
                        >
                          {format.signed(m.litresPureAlcohol, 2)}
                        </button>
                      );
                    },
                  })),
                  {
                    key: 'closing',
                    title: 'Closing',
                    numeric: true,
                    cell: (r) => format.number(r.closingLitresPureAlcohol, 2),
                  },
                ]}
              />
            </div>
          );
        }}
      </Loaded>
      {chosen && (
        <PostingsDialog
          {...chosen}
          storeId={storeId || null}
          onClose={() => {
            setChosen(null);
          }}
        />
      )}
    </Page>
  );
}
