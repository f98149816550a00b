import type { AccountUnit } from '@rundlet/contracts';
import { ACCOUNT_UNITS } from '@rundlet/domain';
import { api, useApi } from '../../data/client.ts';
import { SelectField } from '../../kit/kit.ts';
import { useAccounts, useStores } from '../fields/place-fields.tsx';
import type { Names } from './return-lines.ts';

/** Whose alcohol: everyone's (empty), one's own, the customers', or that of the account with this id. */
export type Holder = string;

export interface AccountScope {
  accountId?: string;
  storeId?: string;
  accountKind?: 'own' | 'customer';
}

export const scopeOf = (holder: Holder, storeId = ''): AccountScope => ({
  ...(holder === 'own' || holder === 'customer'
    ? { accountKind: holder }
    : holder
      ? { accountId: holder }
      : {}),
  ...(storeId ? { storeId } : {}),
});

export function HolderField({
  value,
  onChange,
}: {
  value: Holder;
  onChange: (holder: Holder) => void;
}) {
  const accounts = useAccounts();
  return (
    <SelectField<string>
      label="Whose"
      value={value}
      onChange={onChange}
      choices={[
        { value: '', label: 'everyone’s' },
        { value: 'own', label: 'own stock' },
        { value: 'customer', label: 'customers’ stock' },
        ...accounts.map((a) => ({ value: a.id, label: a.name })),
      ]}
    />
  );
}

export function UnitField({
  value,
  onChange,
}: {
  value: AccountUnit;
  onChange: (unit: AccountUnit) => void;
}) {
  return (
    <SelectField
      label="Unit"
      value={value}
      onChange={onChange}
      choices={(Object.keys(ACCOUNT_UNITS) as AccountUnit[]).map((unit) => ({
        value: unit,
        label: ACCOUNT_UNITS[unit].words,
      }))}
    />
  );
}

/** The unit the terms in force name, until another is chosen. */
export function useUnit(chosen: AccountUnit | null): AccountUnit {
  const today = new Date().toISOString().slice(0, 10);
  const terms = useApi(api.books.terms).data?.rows.find((row) => row.effectiveFrom <= today);
  return chosen ?? terms?.terms.unit ?? 'litres-pure-alcohol';
}

export function useNames(): Names {
  const accounts = useAccounts();
  const stores = useStores();
  return {
    account: (id) => accounts.find((a) => a.id === id)?.name ?? id.slice(-6),
    isOwn: (id) => accounts.find((a) => a.id === id)?.kind !== 'customer',
    store: (id) => stores.find((s) => s.store.id === id)?.store.name ?? '–',
  };
}
