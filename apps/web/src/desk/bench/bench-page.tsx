import { useState } from 'react';
import { ChoiceField, Page } from '../../kit/kit.ts';
import { MixSum } from './mix-sum.tsx';
import { ReduceSum } from './reduce-sum.tsx';
import { StrengthSum } from './strength-sum.tsx';
import { VolumeSum } from './volume-sum.tsx';
import { UsSum } from './us-sum.tsx';

const SUMS = {
  strength: { label: 'Strength from a reading', sum: StrengthSum },
  volume: { label: 'Litres at 20 °C', sum: VolumeSum },
  reduce: { label: 'Water to reduce', sum: ReduceSum },
  mix: { label: 'Mix two spirits', sum: MixSum },
  us: { label: 'US proof and gallons', sum: UsSum },
} as const;
type SumName = keyof typeof SUMS;

/** The same sums as on the filling floor, without touching the stock. */
export default function BenchPage() {
  const [name, setName] = useState<SumName>('strength');
  const Sum = SUMS[name].sum;
  return (
    <Page
      title="Bench calculator"
      lead="Sums for the bench: nothing here is booked. Each result says which formula it comes from."
      narrow
    >
      <ChoiceField
        label="What to work out"
        value={name}
        onChange={setName}
        choices={(Object.keys(SUMS) as SumName[]).map((value) => ({
          value,
          label: SUMS[value].label,
        }))}
      />
      <Sum />
    </Page>
  );
}
