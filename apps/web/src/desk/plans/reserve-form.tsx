import type { PlanView, VatView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { VatField } from '../../aisle/fields/vat-field.tsx';
import { Button, format, LinkButton, Notice } from '../../kit/kit.ts';

/** Nobody else can plan a reserved cask in. */
export function ReserveForm({ view: { plan, picks } }: { view: PlanView }) {
  const act = useAct('plan.reserve');
  const [view, setView] = useState<VatView | null>(null);
  const vatId = view?.vat.id ?? '';
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
        onChange={(_, chosen) => {
          setView(chosen);
        }}
        error={act.errors.at('/vatId')}
      />
      {view && <VatFits view={view} litres={plan.targetLitresAt20C} />}
      <ActOutcome act={act} pointers={['/vatId']} />
      <div>
        <Button kind="main" icon="lock" type="submit" busy={act.busy} disabled={vatId === ''}>
          Reserve the casks
        </Button>
      </div>
    </form>
  );
}

/** What stands against drawing a blend of so many litres into this vat. */
function VatFits({ view: { vat }, litres }: { view: VatView; litres: number }) {
  const held = vat.figures.bulkLitresAt20C;
  if (held > 0.05)
    return (
      <Notice tone="caution">
        {vat.name} holds {format.litres(held)} at {format.strength(vat.figures.strengthPercentVol)}{' '}
        now. What is in it is vatted with the casks, and the water is worked out for all of it.
      </Notice>
    );
  if (vat.capacityLitres < litres)
    return (
      <Notice tone="bad">
        {vat.name} takes {format.litres(vat.capacityLitres)}; the blend comes to{' '}
        {format.litres(litres)}.
      </Notice>
    );
  return null;
}
