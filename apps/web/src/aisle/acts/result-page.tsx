import { useState } from 'react';
import { newId } from '../../acts/act.ts';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { ChoiceField, LongTextField, NumberField, TextField } from '../../kit/kit.ts';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function ResultPage() {
  return (
    <ActPage
      title="Result"
      lead="What a laboratory measured or a panel found in this cask; drawn against its wood contact."
    >
      {(cask) => <ResultForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function ResultForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.result');
  const [id] = useState(newId);
  const [kind, setKind] = useState<'laboratory' | 'sensory'>('laboratory');
  const [measure, setMeasure] = useState('');
  const [value, setValue] = useState<number | null>(null);
  const [unit, setUnit] = useState('mg/L');
  const [remark, setRemark] = useState('');
  const submit = () => {
    if (value === null) return;
    void act.run(
      { id, caskId: cask.id, kind, measure, value, unit, remark: remark.trim() || null },
      `Result for ${cask.code}: ${measure} ${String(value)} ${unit}`,
    );
  };
  return (
    <ActForm
      act={act}
      pointers={['/measure', '/value', '/unit', '/remark']}
      button="Keep the result"
      applied="The result is in the journal"
      back={`/casks/${cask.id}`}
      ready={value !== null}
      onSubmit={submit}
    >
      <ChoiceField
        label="By"
        value={kind}
        onChange={(next) => {
          setKind(next);
          setUnit(next === 'laboratory' ? 'mg/L' : 'of 10');
        }}
        choices={[
          { value: 'laboratory', label: 'laboratory' },
          { value: 'sensory', label: 'panel' },
        ]}
      />
      <TextField
        label="What"
        value={measure}
        onChange={setMeasure}
        hint="In the same words each time, so that results line up: total phenols, vanilla."
        error={act.errors.at('/measure')}
      />
      <NumberField
        label="Result"
        unit={unit}
        value={value}
        onChange={setValue}
        error={act.errors.at('/value')}
      />
      <TextField label="Unit" value={unit} onChange={setUnit} error={act.errors.at('/unit')} />
      <LongTextField
        label="Remark"
        value={remark}
        onChange={setRemark}
        rows={2}
        error={act.errors.at('/remark')}
      />
    </ActForm>
  );
}
