import type { Vat } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import { StepSearch } from '../../desk/lineage/step-search.tsx';
import { useStepChoices } from '../../desk/lineage/use-step-choices.ts';
import { Notice, SelectField } from '../../kit/kit.ts';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields, VAT_METHODS } from '../gauging/readings-fields.tsx';
import { VatForm } from './vat-form.tsx';

/** Spirit of one lot comes in, as measured; it is converted to 20 °C. */
export function ReceiveForm({ vat }: { vat: Vat }) {
  const act = useAct('spirit.receive');
  const lots = useStepChoices('spirit-lot');
  const [lotId, setLotId] = useState('');
  const [draft, setDraft] = useState(() => emptyDraft({ method: 'meter' }));
  const live = useLiveFigures(draft, {});
  const readings = readingsOf(draft);
  return (
    <VatForm
      act={act}
      pointers={['/lotId', ...readingPointers()]}
      button="Book it in"
      icon="vat"
      ready={readings !== null && lotId !== ''}
      applied="The spirit is booked in"
      onSubmit={() => {
        if (readings)
          void act.run({ vatId: vat.id, lotId, readings }, `Receive spirit into ${vat.name}`);
      }}
    >
      {vat.figures.litresPureAlcohol > 0 && (
        <Notice>
          There is spirit in this vat. What comes in is vatted with it, and the origin shares become
          those of the whole.
        </Notice>
      )}
      <StepSearch choices={lots} />
      <SelectField
        label="Spirit lot"
        value={lotId}
        onChange={setLotId}
        empty="Choose …"
        choices={lots.withChosen(lotId)}
        error={act.errors.at('/lotId')}
      />
      <ReadingsFields
        draft={draft}
        onChange={setDraft}
        methods={VAT_METHODS}
        errors={withLive(act.errors, live)}
      />
      <LiveFigures live={live} />
    </VatForm>
  );
}
