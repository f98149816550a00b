import type { CaskCard, Filling } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { Facts, format, Notice, TextField } from '../../kit/kit.ts';
import { DutyEstimate } from '../vats/duty-estimate.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function ReleaseDutyPage() {
  return (
    <ActPage
      title="Release from duty suspension"
      lead="All that the cask holds leaves the account and is duty-paid from now on. It stays in the cask."
    >
      {(cask, card) => <ReleaseForm key={cask.id} cask={cask} card={card} />}
    </ActPage>
  );
}

function ReleaseForm({ cask, card }: { cask: CaskBrief; card: CaskCard | null }) {
  const act = useAct('cask.release-duty');
  const [reference, setReference] = useState('');
  // Once booked the card says that it is paid; the form goes on saying what it did.
  const [sent, setSent] = useState(false);
  const filling = card?.filling ?? null;
  if (filling?.dutyStatus === 'paid' && !sent)
    return (
      <Notice title="Duty-paid already">
        The cask has left duty suspension; its history says when and by what. A keeper reverses that
        entry in the journal if it was a mistake.
      </Notice>
    );
  return (
    <ActForm
      act={act}
      pointers={['/reference']}
      button="Release it"
      applied="The cask is duty-paid and out of the account"
      back={`/casks/${cask.id}`}
      onSubmit={() => {
        setSent(true);
        void act.run({ caskId: cask.id, reference }, `${cask.code} released by ${reference}`);
      }}
    >
      {filling && <Released filling={filling} />}
      <TextField
        label="Released by"
        hint="The number of the authority’s paper, or of your declaration"
        value={reference}
        onChange={setReference}
        error={act.errors.at('/reference')}
      />
      <Notice tone="caution">
        When duty falls due, on what figure, and who may release a cask is for your authority to
        say: check with your authority first. Gauge the cask before if its last gauge is old.
      </Notice>
    </ActForm>
  );
}

function Released({ filling: { figures, lastGaugedAt } }: { filling: Filling }) {
  return (
    <>
      <Facts
        facts={[
          ['Holds by the book', format.litres(figures.bulkLitresAt20C)],
          ['Strength', format.strength(figures.strengthPercentVol, 2)],
          ['Leaves the account', format.pureAlcohol(figures.litresPureAlcohol)],
          ['Last gauged or filled', format.date(lastGaugedAt)],
        ]}
      />
      <DutyEstimate of={figures} />
    </>
  );
}
