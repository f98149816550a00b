import { ChoiceField, DateField } from '../../kit/kit.ts';
import { OwnerField, StoreField } from '../fields/place-fields.tsx';
import { NumberWish, type WishFormPart } from './number-wish.tsx';

/** What the vat shall be, when, and of whose casks. */
export function VatWishes({ part }: { part: WishFormPart }) {
  const { wishes, change, error } = part;
  return (
    <div className="stack">
      <div className="fields-pair">
        <NumberWish
          {...{ part, name: 'litres', path: 'target/bulkLitresAt20C' }}
          label="Volume at 20 °C"
          unit="L"
        />
        <NumberWish
          {...{
            part,
            name: 'volumeTolerancePercent',
            path: 'target/volumeTolerancePercent',
          }}
          label="give or take"
          unit="%"
        />
        <NumberWish
          {...{ part, name: 'strength', path: 'target/strengthPercentVol' }}
          label="Strength at 20 °C"
          unit="% vol"
        />
        <NumberWish
          {...{
            part,
            name: 'strengthTolerance',
            path: 'target/strengthTolerancePercentVol',
          }}
          label="give or take"
          unit="% vol"
        />
        <DateField
          label="To be vatted on"
          value={wishes.blendOn}
          onChange={(blendOn) => {
            change({ blendOn });
          }}
          hint="Casks are forecast to that day."
          error={error('blendOn')}
        />
        <StoreField
          value={wishes.storeId}
          onChange={(storeId) => {
            change({ storeId });
          }}
        />
        <OwnerField
          value={wishes.accountId}
          onChange={(accountId) => {
            change({ accountId });
          }}
        />
      </div>
      <ChoiceField
        label="Water"
        value={wishes.water}
        onChange={(water) => {
          change({ water });
        }}
        choices={[
          { value: 'allowed', label: 'may be added' },
          { value: 'none', label: 'none: cask strength' },
        ]}
      />
    </div>
  );
}
