import type { BodyOf, Suspicion } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { KEEPER_WORDS } from '../../aisle/gauging/suspicion-words.ts';
import { queries } from '../../data/client.ts';
import { Button, ChoiceField, TextField } from '../../kit/kit.ts';

type Verdict = BodyOf<'gauge.judge'>['verdict'];

const FOLLOWS: Readonly<Record<Verdict, string>> = {
  leak: 'The cask is marked as leaking until it is inspected as sound.',
  confirmed: 'The reading is kept and learned from; the cask counts as sound from that day.',
  dismissed:
    'Nothing is learned from the reading. The book still stands on it: gauge again, or reverse its entry in the journal.',
  regauge: 'It goes to the head of the regauge round and stays on this list.',
};

/** The keeper's word, with the reason. */
export function JudgeForm({ suspicion }: { suspicion: Suspicion }) {
  const act = useAct('gauge.judge');
  const [verdict, setVerdict] = useState<Verdict>(
    suspicion.verdict === 'possible-leak' ? 'leak' : 'dismissed',
  );
  const [reason, setReason] = useState('');
  const submit = async () => {
    const done = await act.run(
      { gaugeId: suspicion.gaugeId, verdict, reason },
      `Judge a gauge of ${suspicion.caskCode}: ${KEEPER_WORDS[verdict]}`,
    );
    if (done?.status === 'applied') await queries.invalidateQueries();
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
      <ChoiceField
        label="What you found"
        value={verdict}
        onChange={setVerdict}
        choices={(Object.keys(KEEPER_WORDS) as Verdict[]).map((value) => ({
          value,
          label: KEEPER_WORDS[value],
        }))}
        hint={FOLLOWS[verdict]}
      />
      <TextField
        label="Seen, or why"
        value={reason}
        onChange={setReason}
        error={act.errors.at('/reason')}
      />
      <ActOutcome act={act} pointers={['/reason']} applied="Kept in the journal" />
      <div>
        <Button type="submit" kind="main" busy={act.busy}>
          Keep this in the journal
        </Button>
      </div>
    </form>
  );
}
