import type { CaskCard } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { Notice, TextField } from '../../kit/kit.ts';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function HoldPage() {
  return (
    <ActPage
      title="Hold"
      lead="A cask on hold is left out of every blend until it is let go again."
    >
      {(cask, card) => <HoldForm key={cask.id} cask={cask} card={card} />}
    </ActPage>
  );
}

function HoldForm({ cask, card }: { cask: CaskBrief; card: CaskCard | null }) {
  const act = useAct('cask.hold');
  const [reason, setReason] = useState('');
  const current = card?.filling?.holdReason ?? null;
  // Once booked the card says the opposite; the form goes on saying what it did.
  const [did, setDid] = useState<'hold' | 'release' | null>(null);
  const release = did === null ? current !== null : did === 'release';
  const submit = async () => {
    setDid(release ? 'release' : 'hold');
    await act.run(
      { caskId: cask.id, reason: release ? null : reason },
      release ? `Let ${cask.code} go from hold` : `Hold ${cask.code}: ${reason}`,
    );
  };
  return (
    <ActForm
      act={act}
      pointers={['/reason']}
      button={release ? 'Let it go' : 'Put on hold'}
      icon="lock"
      applied={release ? 'The cask is free again' : 'The cask is on hold'}
      back={`/casks/${cask.id}`}
      onSubmit={() => void submit()}
    >
      {release ? (
        <Notice tone="caution" title="On hold">
          {current}
        </Notice>
      ) : (
        <TextField
          label="Why"
          value={reason}
          onChange={setReason}
          error={act.errors.at('/reason')}
        />
      )}
    </ActForm>
  );
}
