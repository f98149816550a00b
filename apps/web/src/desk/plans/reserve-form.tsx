import type { BlendPlanRecord } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { VatField } from '../../aisle/fields/vat-field.tsx';
import { Button } from '../../kit/kit.ts';

/** Nobody else can plan a reserved cask in. */
export function ReserveForm({ plan }: { plan: BlendPlanRecord }) {
  const act = useAct('plan.reserve');
  const [vatId, setVatId] = useState('');
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void act.run({ planId: plan.id, vatId }, `Reserve the casks of ${plan.code}`);
      }}
    >
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
