import type { CaskCard } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import type { Match } from '../../data/resolve.ts';
import { ChoiceField, format, NumberField } from '../../kit/kit.ts';
import { FillingCaution } from '../cautions.tsx';
import { CaskField } from '../fields/cask-field.tsx';
import { VatField } from '../fields/vat-field.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function TopUpPage() {
  return (
    <ActPage
      title="Top up"
      lead="The origin shares and the age of what goes in become part of what is here."
      caution={<FillingCaution />}
    >
      {(cask, card) => <TopUpForm key={cask.id} cask={cask} card={card} />}
    </ActPage>
  );
}

function TopUpForm({ cask, card }: { cask: CaskBrief; card: CaskCard | null }) {
  const act = useAct('cask.top-up');
  const [kind, setKind] = useState<'vat' | 'cask'>('cask');
  const [vatId, setVatId] = useState('');
  const [source, setSource] = useState<Match | null>(null);
  const [litres, setLitres] = useState<number | null>(null);
  const from = kind === 'vat' ? vatId : (source?.id ?? '');
  const submit = async () => {
    if (litres === null || from === '') return;
    await act.run(
      {
        caskId: cask.id,
        source: kind === 'vat' ? { kind, vatId } : { kind, caskId: from },
        bulkLitresAt20C: litres,
      },
      `Top up ${cask.code} with ${format.litres(litres)}`,
    );
  };
  return (
    <ActForm
      act={act}
      pointers={['/bulkLitresAt20C', '/source/vatId', '/source/caskId']}
      button="Book the topping up"
      icon="drop"
      ready={litres !== null && from !== ''}
      applied="The topping up is booked"
      back={`/casks/${cask.id}`}
      onSubmit={() => void submit()}
    >
      <ChoiceField
        label="From"
        value={kind}
        onChange={setKind}
        choices={[
          { value: 'cask', label: 'Another cask' },
          { value: 'vat', label: 'A vat' },
        ]}
      />
      {kind === 'cask' ? (
        <CaskField
          label="The cask it comes from"
          value={source}
          onChange={setSource}
          error={act.errors.at('/source/caskId')}
        />
      ) : (
        <VatField
          value={vatId}
          onChange={setVatId}
          error={act.errors.at('/source/vatId')}
          only={({ vat }) =>
            vat.figures.bulkLitresAt20C > 0 &&
            (!card?.filling || vat.accountId === card.filling.accountId)
          }
        />
      )}
      <NumberField
        label="Bulk put in, at 20 °C"
        unit="L"
        value={litres}
        onChange={setLitres}
        error={act.errors.at('/bulkLitresAt20C')}
      />
    </ActForm>
  );
}
