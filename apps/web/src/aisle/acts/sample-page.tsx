import { api } from '@rundlet/contracts';
import { makeSampleCode } from '@rundlet/identifiers';
import { useState } from 'react';
import { newId } from '../../acts/act.ts';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { useApi } from '../../data/client.ts';
import { rememberCode } from '../../data/known-codes.ts';
import { CodeText, LinkButton, NumberField, TextField } from '../../kit/kit.ts';
import { VapourCaution } from '../cautions.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function SamplePage() {
  return (
    <ActPage title="Sample" caution={<VapourCaution />}>
      {(cask) => <SampleForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

const ML_PER_L = 1000;
/** Serials from which devices make their own codes while the server cannot be asked; the server's run far below. */
const OWN_SERIALS_FROM = 450_000_000;
const OWN_SERIALS = 450_000_000;

function SampleForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.sample');
  const codes = useApi(api.casks.nextCodes, { query: { count: 1 } }, { staleTime: 0 });
  const [sampleId] = useState(newId);
  const [ownCode] = useState(() =>
    makeSampleCode(OWN_SERIALS_FROM + Math.floor(Math.random() * OWN_SERIALS)),
  );
  const [millilitres, setMillilitres] = useState<number | null>(100);
  const [purpose, setPurpose] = useState('');
  const code = codes.data?.sampleCodes[0] ?? (codes.isError ? ownCode : null);
  const submit = async () => {
    if (millilitres === null || code === null) return;
    rememberCode(sampleId, code);
    await act.run(
      {
        caskId: cask.id,
        sampleId,
        code,
        bulkLitresAt20C: millilitres / ML_PER_L,
        purpose,
      },
      `Sample ${code} of ${String(millilitres)} mL from ${cask.code}`,
    );
  };
  return (
    <>
      <ActForm
        act={act}
        pointers={['/bulkLitresAt20C', '/purpose', '/code']}
        button="Book the sample"
        icon="sample"
        ready={millilitres !== null && code !== null}
        applied="The sample is booked"
        back={`/casks/${cask.id}`}
        again={{ to: '/scan', label: 'Scan the next cask' }}
        onSubmit={() => void submit()}
      >
        <p>
          Bottle code: <strong>{code ? <CodeText code={code} /> : '…'}</strong>
        </p>
        <NumberField
          label="Taken"
          unit="mL"
          value={millilitres}
          onChange={setMillilitres}
          error={act.errors.at('/bulkLitresAt20C')}
        />
        <TextField
          label="What for"
          hint="Nosing, laboratory, leak check"
          value={purpose}
          onChange={setPurpose}
          error={act.errors.at('/purpose')}
        />
      </ActForm>
      {act.done?.status === 'applied' && (
        <div>
          <LinkButton to={`/labels?kind=sample&ids=${sampleId}`} icon="label">
            Print the bottle’s label
          </LinkButton>
        </div>
      )}
    </>
  );
}
