import type { AccountUnit } from '@rundlet/contracts';
import { ACCOUNT_UNITS, CHECK_WITH_AUTHORITY } from '@rundlet/domain';
import { useState } from 'react';
import { api, useApi } from '../../data/client.ts';
import { FileButton } from '../../data/file-button.tsx';
import {
  Empty,
  Figure,
  Figures,
  LinkButton,
  Loaded,
  Notice,
  Page,
  SelectField,
  TextField,
} from '../../kit/kit.ts';
import { StoreField } from '../fields/place-fields.tsx';
import { HolderField, scopeOf, UnitField, useUnit, type Holder } from './account-fields.tsx';
import { CloseCard } from './close-card.tsx';
import { GROUPINGS, MONTH, monthsBack, type Grouping } from './return-lines.ts';
import { ReturnTable } from './return-table.tsx';

/** Opening stock, what came and went by cause, closing stock, month by month; every figure opens its entries. */
export default function ReturnPage() {
  const now = new Date().toISOString().slice(0, 7);
  const [from, setFrom] = useState(monthsBack(now, 11));
  const [to, setTo] = useState(now);
  const [holder, setHolder] = useState<Holder>('');
  const [storeId, setStoreId] = useState('');
  const [by, setBy] = useState<Grouping>('account');
  const [chosenUnit, setUnit] = useState<AccountUnit | null>(null);
  const unit = useUnit(chosenUnit);
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const scope = scopeOf(holder, storeId);
  const usable = MONTH.test(from) && MONTH.test(to) && from <= to;
  const query = useApi(api.books.months, { query: { from, to, ...scope } }, { enabled: usable });
  const file = { query: { from, to, unit, ...scope } };
  return (
    <Page
      title="The return"
      lead="Alcohol under duty suspension. Opening + movements = closing, to the milligram of ethanol."
      actions={
        <LinkButton to="/account-terms" icon="gear">
          Allowances and rates
        </LinkButton>
      }
    >
      <Notice tone="caution">{CHECK_WITH_AUTHORITY}</Notice>
      <CloseCard />
      <div className="grid">
        <TextField
          label="From month"
          value={from}
          onChange={setFrom}
          error={MONTH.test(from) ? undefined : 'a month is needed, like 2026-03'}
        />
        <TextField
          label="To month"
          value={to}
          onChange={setTo}
          error={
            !MONTH.test(to)
              ? 'a month is needed, like 2026-03'
              : from > to
                ? 'must not be before the first'
                : undefined
          }
        />
        <HolderField value={holder} onChange={setHolder} />
        <StoreField value={storeId} onChange={setStoreId} />
        <SelectField
          label="A line for"
          value={by}
          onChange={setBy}
          choices={(Object.keys(GROUPINGS) as Grouping[]).map((value) => ({
            value,
            label: GROUPINGS[value],
          }))}
        />
        <UnitField value={unit} onChange={setUnit} />
      </div>
      <Loaded query={query} what="Adding up the months">
        {(answer) =>
          answer.rows.length === 0 ? (
            <Empty title="Nothing moved in these months">Choose other months.</Empty>
          ) : (
            <div className="stack">
              <div className="line-spread">
                <Figures>
                  <Figure
                    label="Held now"
                    value={of(answer.holdsNowLitresPureAlcohol)}
                    unit={symbol}
                    decimals={3}
                    origin="calculated"
                    note="sum of all vessels"
                  />
                </Figures>
                <div className="line not-printed">
                  <FileButton endpoint={api.books.returnPdf} input={file} label="PDF" />
                  <FileButton endpoint={api.books.returnXlsx} input={file} label="XLSX" />
                  <FileButton endpoint={api.books.returnCsv} input={file} label="CSV" />
                </div>
              </div>
              <ReturnTable
                rows={answer.rows}
                closed={answer.closed}
                by={by}
                unit={unit}
                holder={holder}
                storeId={storeId}
              />
            </div>
          )
        }
      </Loaded>
    </Page>
  );
}
