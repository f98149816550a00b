import { api, type Vat } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import { useApi } from '../../data/client.ts';
import { Loaded, Notice, SelectField } from '../../kit/kit.ts';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields, VAT_METHODS } from '../gauging/readings-fields.tsx';
import { VatForm } from './vat-form.tsx';

/** Spirit of one lot comes in, as measured; it is converted to 20 °C. */
export function ReceiveForm({ vat }: { vat: Vat }) {
  const act = useAct('spirit.receive');
  const lots = useApi(api.lineage.lots, { query: { limit: 100 } });
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
      <Loaded query={lots} what="Asking for the spirit lots">
        {({ rows }) => (
          <SelectField
            label="Spirit lot"
            value={lotId}
            onChange={setLotId}
            empty="Choose …"
            choices={rows.map((lot) => ({ value: lot.id, label: `${lot.code} ${lot.name}` }))}
            error={act.errors.at('/lotId')}
          />
        )}
      </Loaded>
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
