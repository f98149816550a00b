import { litresPureAlcoholOfEthanolMg } from '../../data/alcohol.ts';
import type { GaugeReadings, VatView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, CheckField, format } from '../../kit/kit.ts';
import { VatCaution } from '../cautions.tsx';
import { LiveFigures, useLiveFigures } from '../gauging/live-figures.tsx';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields, VAT_METHODS } from '../gauging/readings-fields.tsx';

const EMPTY: GaugeReadings = { method: 'declared', bulkLitresAt20C: 0, strengthPercentVol: 0 };

/** Gauges what is left, so that what the casks took and what the vat gave agree in the book. */
export function CloseVat({
  view: { vat },
  onClosed,
}: {
  view: VatView;
  onClosed: (differenceLitresPureAlcohol: number) => void;
}) {
  const act = useAct('vat.gauge');
  const [isEmpty, setEmpty] = useState(false);
  const [draft, setDraft] = useState(() => emptyDraft({ method: 'meter' }));
  const live = useLiveFigures(draft, {});
  const readings = isEmpty ? EMPTY : readingsOf(draft);
  const submit = async () => {
    if (!readings) return;
    const result = await act.run(
      { vatId: vat.id, readings, cause: 'filling-difference' },
      `Close the balance of ${vat.name}`,
    );
    if (result?.status !== 'applied') return;
    const mg = result.entry?.outcome['ethanolDifferenceMg'];
    onClosed(typeof mg === 'number' ? litresPureAlcoholOfEthanolMg(mg) : 0);
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <p>
        By the book {format.litres(vat.figures.bulkLitresAt20C)} should be left,{' '}
        {format.pureAlcohol(vat.figures.litresPureAlcohol, 2)}. What is really there is booked, and
        the difference with it as a filling difference.
      </p>
      <CheckField checked={isEmpty} onChange={setEmpty}>
        The vat is empty
      </CheckField>
      {!isEmpty && (
        <>
          <ReadingsFields
            draft={draft}
            onChange={setDraft}
            methods={VAT_METHODS}
            errors={act.errors}
          />
          <LiveFigures live={live} before={vat.figures} />
        </>
      )}
      <VatCaution />
      <ActOutcome act={act} pointers={readingPointers()} />
      <div>
        <Button type="submit" icon="check" busy={act.busy} disabled={!readings}>
          Close the balance
        </Button>
      </div>
    </form>
  );
}
