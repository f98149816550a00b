import type { PlanView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { VatField } from '../../aisle/fields/vat-field.tsx';
import { Button, format, LinkButton, Notice } from '../../kit/kit.ts';

/** Nobody else can plan a reserved cask in. */
export function ReserveForm({ view: { plan, picks } }: { view: PlanView }) {
  const act = useAct('plan.reserve');
  const [vatId, setVatId] = useState('');
  const barred = picks.filter((p) => p.obstacle !== null);
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void act.run({ planId: plan.id, vatId }, `Reserve the casks of ${plan.code}`);
      }}
    >
      {barred.length > 0 && (
        <Notice
          tone="bad"
          title={`${format.count(barred.length, 'cask')} can’t be reserved as things stand`}
          actions={<LinkButton to={`/blend?plan=${plan.id}`}>Plan again around them</LinkButton>}
        >
          <ul>
            {barred.map((p) => (
              <li key={p.fillingId}>
                {p.caskCode}: {p.obstacle}
              </li>
            ))}
          </ul>
        </Notice>
      )}
      <VatField
        label="They are to be drawn into"
        value={vatId}
        onChange={setVatId}
        error={act.errors.at('/vatId')}
      />
      <ActOutcome act={act} pointers={['/vatId']} />
      <div>
        <Button kind="main" icon="lock" type="submit" busy={act.busy} disabled={vatId === ''}>
          Reserve the casks
        </Button>
      </div>
    </form>
  );
}
