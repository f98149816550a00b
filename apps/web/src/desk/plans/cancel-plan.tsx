import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, TextField } from '../../kit/kit.ts';

export function CancelPlan({ planId }: { planId: string }) {
  const act = useAct('plan.cancel');
  const [reason, setReason] = useState('');
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void act.run({ planId, reason }, 'Cancel a plan');
      }}
    >
      <p>Casks still reserved for it are free again. What has been drawn stays drawn.</p>
      <TextField label="Why" value={reason} onChange={setReason} error={act.errors.at('/reason')} />
      <ActOutcome act={act} pointers={['/reason']} />
      <div>
        <Button kind="grave" type="submit" busy={act.busy} disabled={reason.trim() === ''}>
          Cancel the plan
        </Button>
      </div>
    </form>
  );
}
