import type { Vat } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields, VAT_METHODS } from '../gauging/readings-fields.tsx';
import { VatForm } from './vat-form.tsx';

export function VatGaugeForm({ vat }: { vat: Vat }) {
  const act = useAct('vat.gauge');
  const [draft, setDraft] = useState(() => emptyDraft({ method: 'meter' }));
  const live = useLiveFigures(draft, {});
  const readings = readingsOf(draft);
  return (
    <VatForm
      act={act}
      pointers={readingPointers()}
      button="Book the gauge"
      icon="gauge"
      ready={readings !== null}
      applied="The gauge is booked; the difference stands in the history"
      onSubmit={() => {
        if (readings)
          void act.run({ vatId: vat.id, readings, cause: 'vat-difference' }, `Gauge ${vat.name}`);
      }}
    >
      <ReadingsFields
        draft={draft}
        onChange={setDraft}
        methods={VAT_METHODS}
        errors={withLive(act.errors, live)}
      />
      <LiveFigures live={live} before={vat.figures} />
    </VatForm>
  );
}
