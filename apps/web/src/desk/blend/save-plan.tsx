import type { BlendAnswer, BlendChoice, BlendRequest } from '@rundlet/contracts';
import { useState } from 'react';
import { useLocation } from 'wouter';
import { newId } from '../../acts/act.ts';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, Card, TextField } from '../../kit/kit.ts';

/** Keeps the answer as a plan, with the wishes as they were asked. */
export function SavePlan({
  answer,
  plan,
  request,
}: {
  answer: BlendAnswer;
  plan: BlendChoice;
  request: BlendRequest;
}) {
  const act = useAct('plan.save');
  const [, go] = useLocation();
  const [name, setName] = useState('');
  const [code, setCode] = useState('');
  const [id] = useState(newId);
  const save = async () => {
    const done = await act.run(
      {
        id,
        code: code.trim().toUpperCase(),
        name,
        blendOn: request.blendOn,
        targetLitresAt20C: request.target.bulkLitresAt20C,
        targetStrengthPercentVol: request.target.strengthPercentVol,
        request,
        answer: { ...answer, plans: [plan] },
        parts: plan.parts.map((p) => ({
          fillingId: p.fillingId,
          bulkLitresAt20C: p.takeLitresAt20C,
          strengthPercentVol: p.strengthPercentVol,
          whole: p.whole,
        })),
        waterLitresAt20C: plan.waterLitresAt20C,
      },
      `Keep the plan ${name}`,
    );
    if (done?.status === 'applied') go(`/plans/${id}`);
  };
  return (
    <Card title="Keep this plan">
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void save();
        }}
      >
        <div className="grid">
          <TextField label="Name" value={name} onChange={setName} error={act.errors.at('/name')} />
          <TextField
            label="Code"
            value={code}
            onChange={setCode}
            hint="Capitals, digits and hyphens; given once."
            error={act.errors.at('/code')}
          />
        </div>
        <ActOutcome act={act} pointers={['/name', '/code']} />
        <div>
          <Button
            kind="main"
            type="submit"
            busy={act.busy}
            disabled={name.trim() === '' || code.trim() === ''}
          >
            Keep the plan
          </Button>
        </div>
      </form>
    </Card>
  );
}
