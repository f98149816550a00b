import { api, useApi } from '../../data/client.ts';
import { Card, DateField, NumberField, SelectField } from '../../kit/kit.ts';
import { useStores } from '../fields/place-fields.tsx';
import type { Wishes } from './wishes.ts';

/** What to try: elsewhere, in other wood, for longer. */
export function WishFields({
  wishes,
  onChange,
  errors,
}: {
  wishes: Wishes;
  onChange: (wishes: Wishes) => void;
  errors: Readonly<Record<string, string>>;
}) {
  const facets = useApi(api.casks.facets, {}, { staleTime: 300_000 });
  const zones = useStores().flatMap(({ store, zones: own }) =>
    own.map(({ zone }) => ({ value: zone.id, label: `${store.name}, ${zone.name}` })),
  );
  const set = (more: Partial<Wishes>) => {
    onChange({ ...wishes, ...more });
  };
  const setCask = (more: Partial<Wishes['toCask']>) => {
    set({ toCask: { ...wishes.toCask, ...more } });
  };
  const words = (values: readonly string[] = []) =>
    values.map((value) => ({ value, label: value }));
  return (
    <Card title="Try">
      <div className="grid">
        <DateField
          label="Compared on"
          value={wishes.compareOn}
          onChange={(compareOn) => {
            set({ compareOn });
          }}
          error={errors['compareOn']}
        />
        <DateField
          label="Moved or re-racked on"
          value={wishes.changeOn}
          onChange={(changeOn) => {
            set({ changeOn });
          }}
          error={errors['changeOn']}
        />
        <SelectField
          label="Move to zone"
          value={wishes.toZoneId}
          onChange={(toZoneId) => {
            set({ toZoneId });
          }}
          choices={[{ value: '', label: 'not moved' }, ...zones]}
        />
        <NumberField
          label="Held longer by"
          unit="years"
          value={wishes.longerYears}
          onChange={(longerYears) => {
            set({ longerYears });
          }}
          error={errors['longerYears']}
        />
        <NumberField
          label="Re-rack into a cask of"
          unit="L"
          value={wishes.toCask.nominalLitres}
          hint="Empty: not re-racked."
          onChange={(nominalLitres) => {
            setCask({ nominalLitres });
          }}
        />
        <SelectField
          label="of wood"
          value={wishes.toCask.woodSpecies}
          empty="choose"
          onChange={(woodSpecies) => {
            setCask({ woodSpecies });
          }}
          choices={words(facets.data?.woodSpecies)}
        />
        <SelectField
          label="that held before"
          value={wishes.toCask.previousContents}
          empty="choose"
          onChange={(previousContents) => {
            setCask({ previousContents });
          }}
          choices={words(facets.data?.previousContents)}
        />
        <NumberField
          label="as its filling number"
          unit="of the wood"
          value={wishes.toCask.fillNumber}
          onChange={(fillNumber) => {
            setCask({ fillNumber });
          }}
        />
        <NumberField
          label="Worth of a litre of pure alcohol"
          unit="in your money"
          value={wishes.worthPerLitre}
          hint="Only multiplied with the difference; empty leaves it out."
          onChange={(worthPerLitre) => {
            set({ worthPerLitre });
          }}
        />
      </div>
    </Card>
  );
}
