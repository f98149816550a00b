import type { CaskQuery } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';
import { Button, NumberField, SelectField, TextField, type Choice } from '../../kit/kit.ts';

type Change = (more: Partial<Record<keyof CaskQuery, string | number | undefined>>) => void;
const ANY = '' as const;
const any = (word: string): Choice<string> => ({ value: ANY, label: word });
const same = (values: readonly string[]): Choice<string>[] =>
  values.map((value) => ({ value, label: value }));

export function StockFilters({ query, change }: { query: CaskQuery; change: Change }) {
  const stores = useApi(api.places.stores, {}, { staleTime: 300_000 });
  const facets = useApi(api.casks.facets, {}, { staleTime: 300_000 });
  const accounts = useApi(api.places.accounts, {}, { staleTime: 300_000 });
  const zones = stores.data?.rows.find((s) => s.store.id === query.storeId)?.zones ?? [];
  return (
    <search className="stack">
      <div className="grid">
        <TextField
          label="Code or alias begins with"
          type="search"
          value={query.search ?? ''}
          onChange={(search) => {
            change({ search });
          }}
        />
        <SelectField
          label="Store"
          value={query.storeId ?? ANY}
          onChange={(storeId) => {
            change({ storeId, zoneId: undefined });
          }}
          choices={[
            any('every store'),
            ...(stores.data?.rows ?? []).map(({ store }) => ({
              value: store.id,
              label: store.name,
            })),
          ]}
        />
        {zones.length > 0 && (
          <SelectField
            label="Zone"
            value={query.zoneId ?? ANY}
            onChange={(zoneId) => {
              change({ zoneId });
            }}
            choices={[
              any('every zone'),
              ...zones.map(({ zone }) => ({ value: zone.id, label: zone.name })),
            ]}
          />
        )}
        <SelectField
          label="State"
          value={query.status ?? ANY}
          onChange={(status) => {
            change({ status });
          }}
          choices={[
            any('any'),
            { value: 'filled', label: 'with spirit' },
            { value: 'empty', label: 'empty' },
            { value: 'retired', label: 'retired' },
          ]}
        />
        <SelectField
          label="Kind"
          value={query.caskKind ?? ANY}
          onChange={(caskKind) => {
            change({ caskKind });
          }}
          choices={[any('every kind'), ...same(facets.data?.caskKinds ?? [])]}
        />
        <SelectField
          label="Wood"
          value={query.woodSpecies ?? ANY}
          onChange={(woodSpecies) => {
            change({ woodSpecies });
          }}
          choices={[any('every wood'), ...same(facets.data?.woodSpecies ?? [])]}
        />
        <SelectField
          label="Held before"
          value={query.previousContents ?? ANY}
          onChange={(previousContents) => {
            change({ previousContents });
          }}
          choices={[any('anything'), ...same(facets.data?.previousContents ?? [])]}
        />
        <SelectField
          label="Owner"
          value={query.accountId ?? ANY}
          onChange={(accountId) => {
            change({ accountId });
          }}
          choices={[
            any('everyone'),
            ...(accounts.data?.rows ?? []).map((a) => ({ value: a.id, label: a.name })),
          ]}
        />
        <NumberField
          label="Strength from"
          unit="% vol"
          value={query.strengthFrom ?? null}
          onChange={(v) => {
            change({ strengthFrom: v ?? undefined });
          }}
        />
        <NumberField
          label="Strength to"
          unit="% vol"
          value={query.strengthTo ?? null}
          onChange={(v) => {
            change({ strengthTo: v ?? undefined });
          }}
        />
        <SelectField
          label="Suspicion"
          value={query.suspicion ?? ANY}
          onChange={(suspicion) => {
            change({ suspicion });
          }}
          choices={[
            any('any'),
            { value: 'possible-leak', label: 'possible leak' },
            { value: 'possible-blunder', label: 'doubtful gauge' },
          ]}
        />
      </div>
      <div>
        <Button
          kind="quiet"
          icon="undo"
          onClick={() => {
            change({
              search: '',
              storeId: '',
              zoneId: '',
              status: '',
              caskKind: '',
              woodSpecies: '',
              previousContents: '',
              accountId: '',
              strengthFrom: '',
              strengthTo: '',
              suspicion: '',
            });
          }}
        >
          Show every cask
        </Button>
      </div>
    </search>
  );
}
