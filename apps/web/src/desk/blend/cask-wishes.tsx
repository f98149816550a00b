import { ChoiceField } from '../../kit/kit.ts';
import { NumberWish, type WishFormPart } from './number-wish.tsx';

/** How casks are drawn. */
export function DrawWishes({ part }: { part: WishFormPart }) {
  const { wishes, change } = part;
  return (
    <div className="stack">
      <ChoiceField
        label="Casks are drawn"
        value={wishes.parts}
        onChange={(parts) => {
          change({ parts });
        }}
        choices={[
          { value: 'whole-casks', label: 'whole' },
          { value: 'part-casks', label: 'in part' },
          { value: 'both', label: 'either way' },
        ]}
      />
      {wishes.parts !== 'whole-casks' && (
        <div className="fields-pair">
          <NumberWish
            {...{ part, name: 'leastPartLitres', path: 'leastPartLitres' }}
            label="A part is at least"
            unit="L"
            hint="Empty: 1 L"
          />
          <NumberWish
            {...{ part, name: 'leastHeelLitres', path: 'leastHeelLitres' }}
            label="No heel under"
            unit="L"
          />
          <NumberWish
            {...{ part, name: 'mostPartCasks', path: 'mostPartCasks' }}
            label="Drawn in part at most"
            unit="casks"
          />
        </div>
      )}
    </div>
  );
}

/** How much water goes in, where any may. */
export function WaterWishes({ part }: { part: WishFormPart }) {
  return (
    <div className="fields-pair">
      <NumberWish
        {...{ part, name: 'leastWaterLitres', path: 'leastWaterLitres' }}
        label="Water at least"
        unit="L"
      />
      <NumberWish
        {...{ part, name: 'mostWaterLitres', path: 'mostWaterLitres' }}
        label="Water at most"
        unit="L"
      />
    </div>
  );
}

/** Ages and strengths of the casks, and how many of them. */
export function CaskWishes({ part }: { part: WishFormPart }) {
  return (
    <div className="fields-pair">
      <NumberWish
        {...{ part, name: 'youngestYears', path: 'youngestYears' }}
        label="Youngest at least"
        unit="years"
      />
      <NumberWish
        {...{ part, name: 'oldestYears', path: 'oldestYears' }}
        label="Oldest at most"
        unit="years"
      />
      <NumberWish
        {...{ part, name: 'leastMeanYears', path: 'leastMeanYears' }}
        label="Mean age at least"
        unit="years"
      />
      <NumberWish
        {...{ part, name: 'leastStrength', path: 'leastStrengthPercentVol' }}
        label="Every cask at least"
        unit="% vol"
      />
      <NumberWish
        {...{ part, name: 'mostStrength', path: 'mostStrengthPercentVol' }}
        label="Every cask at most"
        unit="% vol"
      />
      <NumberWish
        {...{ part, name: 'leastCasks', path: 'leastCasks' }}
        label="Casks at least"
        unit="casks"
      />
      <NumberWish
        {...{ part, name: 'mostCasks', path: 'mostCasks' }}
        label="Casks at most"
        unit="casks"
      />
      <NumberWish
        {...{ part, name: 'mostRows', path: 'mostRows' }}
        label="Rows opened at most"
        unit="rows"
      />
      <NumberWish
        {...{ part, name: 'mostCost', path: 'mostCost' }}
        label="Casks for at most"
        unit="currency"
      />
    </div>
  );
}
