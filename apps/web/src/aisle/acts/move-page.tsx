import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { WeightCaution } from '../cautions.tsx';
import { PositionField, type ChosenPosition } from '../fields/position-field.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function MovePage() {
  return (
    <ActPage title="Move" caution={<WeightCaution />}>
      {(cask) => <MoveForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function MoveForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.move');
  const [to, setTo] = useState<ChosenPosition | null>(null);
  const submit = async () => {
    if (to)
      await act.run({ caskId: cask.id, positionId: to.id }, `Move ${cask.code} to ${to.words}`);
  };
  return (
    <ActForm
      act={act}
      pointers={['/positionId']}
      button="Book the move"
      icon="move"
      ready={to !== null}
      applied="The move is booked"
      back={`/casks/${cask.id}`}
      again={{ to: '/scan', label: 'Scan the next cask' }}
      onSubmit={() => void submit()}
    >
      <PositionField
        label="To"
        cask={cask}
        value={to}
        onChange={setTo}
        error={act.errors.at('/positionId')}
        afterId={cask.position?.id ?? null}
      />
    </ActForm>
  );
}
