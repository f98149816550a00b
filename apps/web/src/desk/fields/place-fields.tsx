import type { AnswerOf } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';
import { SelectField, type Choice } from '../../kit/kit.ts';

/** Stores and owners change seldom: one asking serves every list for a while. */
const SELDOM = { staleTime: 300_000 };

export const useStores = (): AnswerOf<typeof api.places.stores>['rows'] =>
  useApi(api.places.stores, {}, SELDOM).data?.rows ?? [];
export const useAccounts = (): AnswerOf<typeof api.places.accounts>['rows'] =>
  useApi(api.places.accounts, {}, SELDOM).data?.rows ?? [];

interface PlaceFieldProps {
  /** Empty for all of them. */
  value: string;
  onChange: (id: string) => void;
}
const all = (label: string): Choice<string> => ({ value: '', label });

export function StoreField({ value, onChange }: PlaceFieldProps) {
  const stores = useStores();
  return (
    <SelectField
      label="Store"
      value={value}
      onChange={onChange}
      choices={[
        all('every store'),
        ...stores.map(({ store }) => ({ value: store.id, label: store.name })),
      ]}
    />
  );
}

/** The zones of a store; nothing while no store with zones is chosen. */
export function ZoneField({ storeId, value, onChange }: PlaceFieldProps & { storeId: string }) {
  const zones = useStores().find(({ store }) => store.id === storeId)?.zones ?? [];
  if (zones.length === 0) return null;
  return (
    <SelectField
      label="Zone"
      value={value}
      onChange={onChange}
      choices={[
        all('every zone'),
        ...zones.map(({ zone }) => ({ value: zone.id, label: zone.name })),
      ]}
    />
  );
}

export function OwnerField({ value, onChange }: PlaceFieldProps) {
  const accounts = useAccounts();
  return (
    <SelectField
      label="Owner"
      value={value}
      onChange={onChange}
      choices={[all('everyone'), ...accounts.map((a) => ({ value: a.id, label: a.name }))]}
    />
  );
}
