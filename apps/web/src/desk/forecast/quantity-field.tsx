import { ChoiceField } from '../../kit/kit.ts';
import { QUANTITIES, type Quantity } from './fan.tsx';

/** Which figure a picture shows. */
export function QuantityField({
  value,
  onChange,
}: {
  value: Quantity;
  onChange: (quantity: Quantity) => void;
}) {
  return (
    <ChoiceField
      label="Show"
      value={value}
      onChange={onChange}
      choices={(Object.keys(QUANTITIES) as Quantity[]).map((quantity) => ({
        value: quantity,
        label: QUANTITIES[quantity].title,
      }))}
    />
  );
}
