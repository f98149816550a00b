import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button } from '../../kit/kit.ts';

/** Reserved casks are free again; the plan stays. */
export function ReleasePlan({ planId, code }: { planId: string; code: string }) {
  const act = useAct('plan.release');
  return (
    <div className="stack-tight">
      <p>Let the casks go: others can plan with them, and this plan can be reserved again later.</p>
      <ActOutcome act={act} pointers={[]} />
      <div>
        <Button
          icon="undo"
          busy={act.busy}
          onClick={() => {
            void act.run({ planId }, `Let the casks of ${code} go`);
          }}
        >
          Let the casks go
        </Button>
      </div>
    </div>
  );
}
