import { useLocation, useSearch } from 'wouter';
import { Page, SelectField } from '../../kit/kit.ts';
import type { BenchSum } from './bench-sum.ts';
import { CaskGaugeSum } from './cask-gauge-sum.tsx';
import { caskSums } from './cask-sums.ts';
import { mixingSums } from './mixing-sums.ts';
import { readingSums } from './reading-sums.ts';
import { SumForm } from './sum-form.tsx';
import { usSums } from './us-sums.ts';

const SUMS: Readonly<Record<string, BenchSum>> = {
  ...readingSums,
  ...mixingSums,
  ...caskSums,
  ...usSums,
};
const CHOICES = [
  ...Object.entries({ ...readingSums, ...mixingSums }),
  ['gauge', { label: 'Cask: gauge it' }] as const,
  ...Object.entries({ ...caskSums, ...usSums }),
].map(([value, { label }]) => ({ value, label }));

/** The same sums as on the filling floor, without touching the stock; the address keeps which one. */
export default function BenchPage() {
  const [, go] = useLocation();
  const name = new URLSearchParams(useSearch()).get('sum') ?? 'hydrometer';
  const sum = SUMS[name];
  return (
    <Page
      title="Bench calculator"
      lead="Sums for the bench: nothing here is booked. Each result says which formula it comes from."
      narrow
    >
      <SelectField
        label="What to work out"
        value={name}
        choices={CHOICES}
        onChange={(next) => {
          go(`/bench?sum=${next}`, { replace: true });
        }}
      />
      {sum ? <SumForm key={name} sum={sum} /> : <CaskGaugeSum />}
    </Page>
  );
}
