import type { CaskQuery } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';
import { Button, NumberField, SelectField, TextField, type Choice } from '../../kit/kit.ts';
import { OwnerField, StoreField, ZoneField } from '../fields/place-fields.tsx';

type Change = (more: Partial<Record<keyof CaskQuery, string | number | undefined>>) => void;
const ANY = '' as const;
const any = (word: string): Choice<string> => ({ value: ANY, label: word });
const same = (values: readonly string[]): Choice<string>[] =>
  values.map((value) => ({ value, label: value }));

export function StockFilters({ query, change }: { query: CaskQuery; change: Change }) {
  const facets = useApi(api.casks.facets, {}, { staleTime: 300_000 });
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
        <StoreField
          value={query.storeId ?? ANY}
          onChange={(storeId) => {
            change({ storeId, zoneId: undefined });
          }}
        />
        <ZoneField
          storeId={query.storeId ?? ANY}
          value={query.zoneId ?? ANY}
          onChange={(zoneId) => {
            change({ zoneId });
          }}
        />
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
        <OwnerField
          value={query.accountId ?? ANY}
          onChange={(accountId) => {
            change({ accountId });
          }}
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
          label="Duty"
          value={query.dutyStatus ?? ANY}
          onChange={(dutyStatus) => {
            change({ dutyStatus });
          }}
          choices={[
            any('either'),
            { value: 'suspended', label: 'duty-suspended' },
            { value: 'paid', label: 'duty-paid' },
          ]}
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
              dutyStatus: '',
            });
          }}
        >
          Show every cask
        </Button>
      </div>
    </search>
  );
}
