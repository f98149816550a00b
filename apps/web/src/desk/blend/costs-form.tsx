import { COSTS_SETTING, type BlendVocabulary } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, DateField, NumberField } from '../../kit/kit.ts';

const FIELDS = [
  {
    name: 'newSpiritPerLitrePureAlcohol',
    label: 'New spirit, pure alcohol',
    unit: 'per L',
  },
  {
    name: 'storagePerLitrePureAlcoholYear',
    label: 'Storage, pure alcohol',
    unit: 'per L, year',
  },
  { name: 'waterPerLitre', label: 'Water', unit: 'per L' },
] as const;

/** What using a cask costs: new spirit, and storage for each year since. */
export function CostsForm({ costs }: { costs: BlendVocabulary['costs'] }) {
  const act = useAct('setting.set');
  const { assumed, ...before } = costs;
  const [value, setValue] = useState<Record<keyof typeof before, number | null>>(before);
  const [effectiveFrom, setFrom] = useState(() => new Date().toISOString().slice(0, 10));
  const ready = effectiveFrom !== '' && FIELDS.every(({ name }) => value[name] !== null);
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (ready)
          void act.run(
            { key: COSTS_SETTING, effectiveFrom, value },
            `Costs of blends from ${effectiveFrom}`,
          );
      }}
    >
      <p>
        {assumed
          ? 'These figures are assumed until the estate sets its own, in its currency.'
          : 'As set for the estate, in its currency.'}
      </p>
      <div className="grid">
        {FIELDS.map(({ name, label, unit }) => (
          <NumberField
            key={name}
            label={label}
            unit={unit}
            value={value[name]}
            onChange={(cost) => {
              setValue((now) => ({ ...now, [name]: cost }));
            }}
            error={act.errors.at(`/value/${name}`)}
          />
        ))}
        <DateField
          label="In force from"
          value={effectiveFrom}
          onChange={setFrom}
          error={act.errors.at('/effectiveFrom')}
        />
      </div>
      <ActOutcome
        act={act}
        pointers={['/effectiveFrom', ...FIELDS.map(({ name }) => `/value/${name}`)]}
        applied="Set"
      />
      <div>
        <Button type="submit" busy={act.busy} disabled={!ready}>
          Set these costs
        </Button>
      </div>
    </form>
  );
}
