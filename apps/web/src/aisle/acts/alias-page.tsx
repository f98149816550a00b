import { parseScan } from '@rundlet/identifiers';
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
  // Of a label of ours only its code is kept, whatever it was wrapped in: an address, a symbology's mark, small letters.
  const plain = aliasOf(alias);
  useScans((scanned) => {
    setAlias(aliasOf(scanned));
  });
  return (
    <ActForm
      act={act}
      pointers={['/alias']}
      button="Add it"
      applied="The cask answers to it now"
      back={`/casks/${cask.id}`}
      onSubmit={() =>
        void act.run({ caskId: cask.id, alias: plain }, `${cask.code} also answers to ${plain}`)
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

function aliasOf(text: string): string {
  const { candidates, text: bare } = parseScan(text);
  const sure = candidates.find(
    ({ kind, assumption }) => kind !== 'gs1' && assumption === undefined,
  );
  return sure?.code ?? bare;
}
