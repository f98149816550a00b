import { CASK_CONDITIONS, type Cask } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { ChoiceField, LongTextField } from '../../kit/kit.ts';
import { CONDITION } from '../cask/condition.ts';
import { VapourCaution } from '../cautions.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function InspectPage() {
  return (
    <ActPage title="Inspect" caution={<VapourCaution />}>
      {(cask) => <InspectForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function InspectForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.inspect');
  const [condition, setCondition] = useState<Cask['condition']>(cask.condition);
  const [finding, setFinding] = useState('');
  return (
    <ActForm
      act={act}
      pointers={['/condition', '/finding']}
      button="Book the inspection"
      applied="The inspection is booked"
      back={`/casks/${cask.id}`}
      again={{ to: '/scan', label: 'Scan the next cask' }}
      onSubmit={() =>
        void act.run(
          { caskId: cask.id, condition, finding },
          `Inspect ${cask.code}: ${CONDITION[condition].words}`,
        )
      }
    >
      <ChoiceField
        label="Condition"
        value={condition}
        onChange={setCondition}
        choices={CASK_CONDITIONS.map((value) => ({ value, label: CONDITION[value].words }))}
        error={act.errors.at('/condition')}
      />
      <LongTextField
        label="Finding"
        hint="Where, how much, what was done about it"
        value={finding}
        onChange={setFinding}
        error={act.errors.at('/finding')}
      />
    </ActForm>
  );
}
