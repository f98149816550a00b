import type { StockScope } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';
import { Button, DateField, SelectField } from '../../kit/kit.ts';
import { OwnerField, StoreField, ZoneField } from './place-fields.tsx';

/** Which casks: by place, owner, wood and day of filling; a spirit lot comes with a link and can be left out again. */
export function ScopeFields({
  scope,
  onChange,
}: {
  scope: StockScope;
  onChange: (scope: StockScope) => void;
}) {
  const facets = useApi(api.casks.facets, {}, { staleTime: 300_000 });
  const set = (more: Partial<Record<keyof StockScope, string>>) => {
    const all = Object.entries({ ...scope, ...more }).filter(
      ([, value]) => value !== '' && value !== undefined,
    );
    onChange(Object.fromEntries(all));
  };
  const wood = (
    label: string,
    name: 'caskKind' | 'woodSpecies' | 'previousContents',
    any: string,
    values: readonly string[] = [],
  ) => (
    <SelectField
      label={label}
      value={scope[name] ?? ''}
      onChange={(value) => {
        set({ [name]: value });
      }}
      choices={[{ value: '', label: any }, ...values.map((value) => ({ value, label: value }))]}
    />
  );
  return (
    <>
      <StoreField
        value={scope.storeId ?? ''}
        onChange={(storeId) => {
          set({ storeId, zoneId: '' });
        }}
      />
      <ZoneField
        storeId={scope.storeId ?? ''}
        value={scope.zoneId ?? ''}
        onChange={(zoneId) => {
          set({ zoneId });
        }}
      />
      <OwnerField
        value={scope.accountId ?? ''}
        onChange={(accountId) => {
          set({ accountId });
        }}
      />
      {wood('Kind', 'caskKind', 'every kind', facets.data?.caskKinds)}
      {wood('Wood', 'woodSpecies', 'every wood', facets.data?.woodSpecies)}
      {wood('Held before', 'previousContents', 'anything', facets.data?.previousContents)}
      <DateField
        label="Filled from"
        value={scope.filledFrom ?? ''}
        onChange={(filledFrom) => {
          set({ filledFrom });
        }}
      />
      <DateField
        label="Filled to"
        value={scope.filledTo ?? ''}
        onChange={(filledTo) => {
          set({ filledTo });
        }}
      />
      {scope.spiritLotId && (
        <div className="field">
          <span className="field-label">Of one spirit lot</span>
          <Button
            icon="cross"
            onClick={() => {
              set({ spiritLotId: '' });
            }}
          >
            Of any lot
          </Button>
        </div>
      )}
    </>
  );
}
