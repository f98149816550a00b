import type { CaskCard } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { CheckField, ChoiceField, NumberField, Notice } from '../../kit/kit.ts';
import { FillingCaution, VatCaution } from '../cautions.tsx';
import { VatField } from '../fields/vat-field.tsx';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields } from '../gauging/readings-fields.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function DisgorgePage() {
  return (
    <ActPage
      title="Disgorge"
      lead="The cask is emptied, or a part is drawn, into a vat."
      caution={
        <>
          <FillingCaution />
          <VatCaution />
        </>
      }
    >
      {(cask, card) => <DisgorgeForm key={cask.id} cask={cask} card={card} />}
    </ActPage>
  );
}

function DisgorgeForm({ cask, card }: { cask: CaskBrief; card: CaskCard | null }) {
  const act = useAct('cask.disgorge');
  const [vatId, setVatId] = useState('');
  const [how, setHow] = useState<'whole' | 'part'>('whole');
  const [gauged, setGauged] = useState(true);
  const [draft, setDraft] = useState(() => emptyDraft({ tareKg: cask.tareKg }));
  const [litres, setLitres] = useState<number | null>(null);
  const live = useLiveFigures(draft, cask);
  const readings = readingsOf(draft);
  const planId = card?.filling?.reservedByPlanId ?? null;
  const ready = vatId !== '' && (how === 'part' ? litres !== null : !gauged || readings !== null);
  const submit = async () => {
    await act.run(
      {
        caskId: cask.id,
        vatId,
        readings: how === 'whole' && gauged ? readings : null,
        bulkLitresAt20C: how === 'part' ? litres : null,
        planId,
      },
      `Disgorge ${cask.code}`,
    );
  };
  return (
    <ActForm
      act={act}
      pointers={[
        '/vatId',
        ...(how === 'part' ? ['/bulkLitresAt20C'] : gauged ? readingPointers() : []),
      ]}
      button={how === 'whole' ? 'Book the emptying' : 'Book the drawing'}
      icon="vat"
      ready={ready}
      applied={how === 'whole' ? 'The cask is empty' : 'The part is drawn'}
      back={`/casks/${cask.id}`}
      onSubmit={() => void submit()}
    >
      {planId && (
        <Notice>This cask is reserved for a blend; what is drawn counts for that plan.</Notice>
      )}
      <VatField
        label="Into"
        value={vatId}
        onChange={setVatId}
        error={act.errors.at('/vatId')}
        only={({ vat }) => !card?.filling || vat.accountId === card.filling.accountId}
      />
      <ChoiceField
        label="How much"
        value={how}
        onChange={setHow}
        choices={[
          { value: 'whole', label: 'All of it' },
          { value: 'part', label: 'A part' },
        ]}
      />
      {how === 'part' ? (
        <NumberField
          label="Drawn, at 20 °C"
          unit="L"
          value={litres}
          onChange={setLitres}
          error={act.errors.at('/bulkLitresAt20C')}
        />
      ) : (
        <>
          <CheckField checked={gauged} onChange={setGauged}>
            Gauge it first; without, the book figures go into the vat
          </CheckField>
          {gauged && (
            <>
              <ReadingsFields
                draft={draft}
                onChange={setDraft}
                errors={withLive(act.errors, live)}
              />
              <LiveFigures live={live} before={cask.figures} />
            </>
          )}
        </>
      )}
    </ActForm>
  );
}
