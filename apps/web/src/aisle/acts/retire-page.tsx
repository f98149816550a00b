import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { TextField } from '../../kit/kit.ts';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function RetirePage() {
  return (
    <ActPage
      title="Retire"
      lead="The cask leaves the stock for good; its history stays. Only an empty cask can be retired."
    >
      {(cask) => <RetireForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function RetireForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.retire');
  const [reason, setReason] = useState('');
  return (
    <ActForm
      act={act}
      pointers={['/reason']}
      button="Retire the cask"
      grave
      applied="The cask is retired"
      back={`/casks/${cask.id}`}
      onSubmit={() => void act.run({ caskId: cask.id, reason }, `Retire ${cask.code}: ${reason}`)}
    >
      <TextField
        label="Why"
        hint="Sold, broken up, burnt out"
        value={reason}
        onChange={setReason}
        error={act.errors.at('/reason')}
      />
    </ActForm>
  );
}
