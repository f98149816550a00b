import { api, type CaskCard } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { useApi } from '../../data/client.ts';
import { Loaded, SelectField } from '../../kit/kit.ts';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function OwnerPage() {
  return (
    <ActPage
      title="Owner"
      lead="The alcohol passes from one account to another, and the return shows it."
    >
      {(cask, card) => <OwnerForm key={cask.id} cask={cask} card={card} />}
    </ActPage>
  );
}

function OwnerForm({ cask, card }: { cask: CaskBrief; card: CaskCard | null }) {
  const act = useAct('cask.change-owner');
  const accounts = useApi(api.places.accounts);
  const [accountId, setAccountId] = useState('');
  return (
    <ActForm
      act={act}
      pointers={['/accountId']}
      button="Pass it on"
      ready={accountId !== ''}
      applied="The cask has a new owner"
      back={`/casks/${cask.id}`}
      onSubmit={() => void act.run({ caskId: cask.id, accountId }, `New owner for ${cask.code}`)}
    >
      {card?.account && <p>Now: {card.account.name}</p>}
      <Loaded query={accounts} what="Asking for the accounts">
        {({ rows }) => (
          <SelectField
            label="To the account of"
            value={accountId}
            onChange={setAccountId}
            empty="Choose …"
            choices={rows
              .filter(({ id }) => id !== card?.account?.id)
              .map(({ id, name }) => ({ value: id, label: name }))}
            error={act.errors.at('/accountId')}
          />
        )}
      </Loaded>
    </ActForm>
  );
}
