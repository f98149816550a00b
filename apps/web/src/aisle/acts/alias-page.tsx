import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { TextField } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function AliasPage() {
  return (
    <ActPage
      title="Add a code"
      lead="A cooper’s number, an owner’s number or an older label on the wood: scanning it will find this cask too."
    >
      {(cask) => <AliasForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function AliasForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.alias');
  const [alias, setAlias] = useState('');
  useScans(setAlias);
  return (
    <ActForm
      act={act}
      pointers={['/alias']}
      button="Add it"
      applied="The cask answers to it now"
      back={`/casks/${cask.id}`}
      onSubmit={() =>
        void act.run({ caskId: cask.id, alias }, `${cask.code} also answers to ${alias}`)
      }
    >
      <TextField
        label="The other code"
        hint="Type it, or read it with a hand scanner"
        value={alias}
        onChange={setAlias}
        error={act.errors.at('/alias')}
        autoComplete="off"
      />
    </ActForm>
  );
}
