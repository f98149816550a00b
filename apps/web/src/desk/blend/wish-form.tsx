import { ChoiceField, DateField, NumberField, SelectField } from '../../kit/kit.ts';
import { OwnerField, StoreField } from '../fields/place-fields.tsx';
import { CaskChips } from './cask-chips.tsx';
import { ShareWishes } from './share-wishes.tsx';
import { AIMS, type Wishes } from './wishes.ts';

/** What the blender asks for. A field left empty is a wish not made. */
export function WishForm({
  wishes,
  onChange,
  errors,
}: {
  wishes: Wishes;
  onChange: (wishes: Wishes) => void;
  errors: ReadonlyMap<string, string> | null;
}) {
  const set =
    <K extends keyof Wishes>(key: K) =>
    (value: Wishes[K]) => {
      onChange({ ...wishes, [key]: value });
    };
  const error = (path: string) => errors?.get(path);
  return (
    <div className="stack">
      <div className="grid">
        <NumberField
          label="Volume at 20 °C"
          unit="L"
          value={wishes.litres}
          onChange={set('litres')}
          error={error('target/bulkLitresAt20C')}
        />
        <NumberField
          label="give or take"
          unit="%"
          value={wishes.volumeTolerancePercent}
          onChange={set('volumeTolerancePercent')}
          error={error('target/volumeTolerancePercent')}
        />
        <NumberField
          label="Strength at 20 °C"
          unit="% vol"
          value={wishes.strength}
          onChange={set('strength')}
          error={error('target/strengthPercentVol')}
        />
        <NumberField
          label="give or take"
          unit="% vol"
          value={wishes.strengthTolerance}
          onChange={set('strengthTolerance')}
          error={error('target/strengthTolerancePercentVol')}
        />
        <DateField
          label="To be vatted on"
          value={wishes.blendOn}
          onChange={set('blendOn')}
          hint="Casks are forecast to that day."
          error={error('blendOn')}
        />
        <NumberField
          label="Youngest at least"
          unit="years"
          value={wishes.youngestYears}
          onChange={set('youngestYears')}
          error={error('youngestYears')}
        />
        <StoreField value={wishes.storeId} onChange={set('storeId')} />
        <OwnerField value={wishes.accountId} onChange={set('accountId')} />
        <NumberField
          label="Casks at most"
          unit="casks"
          value={wishes.mostCasks}
          onChange={set('mostCasks')}
          error={error('mostCasks')}
        />
        <NumberField
          label="Rows opened at most"
          unit="rows"
          value={wishes.mostRows}
          onChange={set('mostRows')}
          error={error('mostRows')}
        />
        <NumberField
          label="Plots at least"
          unit="plots"
          value={wishes.leastPlots}
          onChange={set('leastPlots')}
        />
        <SelectField label="Above all" value={wishes.aim} onChange={set('aim')} choices={AIMS} />
      </div>
      <ChoiceField
        label="Casks are drawn"
        value={wishes.parts}
        onChange={set('parts')}
        choices={[
          { value: 'whole-casks', label: 'whole' },
          { value: 'part-casks', label: 'in part' },
          { value: 'both', label: 'either way' },
        ]}
      />
      <ChoiceField
        label="Water"
        value={wishes.water}
        onChange={set('water')}
        choices={[
          { value: 'allowed', label: 'may be added' },
          { value: 'none', label: 'none: cask strength' },
        ]}
      />
      <ShareWishes shares={wishes.shares} onChange={set('shares')} />
      <div className="grid">
        <CaskChips label="Must be in it" casks={wishes.include} onChange={set('include')} />
        <CaskChips label="Must stay out" casks={wishes.exclude} onChange={set('exclude')} />
      </div>
    </div>
  );
}
