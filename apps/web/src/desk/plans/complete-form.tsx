import type { BlendPlanRecord } from '@rundlet/contracts';
import { useState } from 'react';
import { useLocation } from 'wouter';
import { newId } from '../../acts/act.ts';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { LiveFigures, useLiveFigures } from '../../aisle/gauging/live-figures.tsx';
import { emptyDraft, readingPointers, readingsOf } from '../../aisle/gauging/readings-draft.ts';
import { ReadingsFields, VAT_METHODS } from '../../aisle/gauging/readings-fields.tsx';
import { Button, TextField } from '../../kit/kit.ts';

/** Gauges the finished vat and records it as a blend that inherits the shares of every plot. */
export function CompleteForm({ plan }: { plan: BlendPlanRecord }) {
  const act = useAct('plan.complete');
  const [, go] = useLocation();
  const [blendId] = useState(newId);
  const [code, setCode] = useState('');
  const [name, setName] = useState(plan.name);
  const [draft, setDraft] = useState(() => emptyDraft({ method: 'meter' }));
  const live = useLiveFigures(draft, {});
  const readings = readingsOf(draft);
  const submit = async () => {
    if (!readings) return;
    const done = await act.run(
      { planId: plan.id, blendId, code: code.trim().toUpperCase(), name, readings },
      `Record the blend ${name}`,
    );
    if (done?.status === 'applied') go(`/blends/${blendId}`);
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <div className="grid">
        <TextField
          label="Blend code"
          value={code}
          onChange={setCode}
          error={act.errors.at('/code')}
        />
        <TextField label="Name" value={name} onChange={setName} error={act.errors.at('/name')} />
      </div>
      <ReadingsFields draft={draft} onChange={setDraft} methods={VAT_METHODS} errors={act.errors} />
      <LiveFigures live={live} before={null} />
      <ActOutcome act={act} pointers={['/code', '/name', ...readingPointers()]} />
      <div>
        <Button
          kind="main"
          icon="check"
          type="submit"
          busy={act.busy}
          disabled={!readings || code.trim() === ''}
        >
          Record the blend
        </Button>
      </div>
    </form>
  );
}
