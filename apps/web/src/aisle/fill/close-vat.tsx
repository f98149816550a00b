import { litresPureAlcoholOfEthanolMg } from '../../data/alcohol.ts';
import type { GaugeReadings, VatView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, CheckField, format, Notice } from '../../kit/kit.ts';
import { VatCaution } from '../cautions.tsx';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields, VAT_METHODS } from '../gauging/readings-fields.tsx';

const EMPTY: GaugeReadings = { method: 'declared', bulkLitresAt20C: 0, strengthPercentVol: 0 };

/** Beyond this share of what the casks took, a difference deserves a question; common practice, no published source. */
const LARGE_SHARE = 0.02;

/** Gauges what is left, so that what the casks took and what the vat gave agree in the book. */
export function CloseVat({
  view: { vat },
  intoCasks,
  onClosed,
  onBack,
}: {
  view: VatView;
  /** What the casks of the run took, LPA. */
  intoCasks: number;
  onClosed: (differenceLitresPureAlcohol: number) => void;
  /** One more cask after all. */
  onBack: () => void;
}) {
  const act = useAct('vat.gauge');
  const [isEmpty, setEmpty] = useState(false);
  const [draft, setDraft] = useState(() => emptyDraft({ method: 'meter' }));
  const live = useLiveFigures(draft, {});
  const readings = isEmpty ? EMPTY : readingsOf(draft);
  const left = isEmpty ? 0 : (live.gauged?.litresPureAlcohol ?? null);
  const difference = left === null ? null : left - vat.figures.litresPureAlcohol;
  const isLarge = difference !== null && Math.abs(difference) > LARGE_SHARE * intoCasks;
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
            errors={withLive(act.errors, live)}
          />
          <LiveFigures live={live} before={vat.figures} />
        </>
      )}
      {difference !== null && (
        <Notice
          tone={isLarge ? 'bad' : 'plain'}
          live
          title={`${format.signed(difference, 2)} LPA will be booked as a filling difference`}
        >
          {isLarge &&
            'That is more than filling usually loses. Is a cask of the run not booked yet, or is there more in the vat?'}
        </Notice>
      )}
      <VatCaution />
      <ActOutcome act={act} pointers={isEmpty ? [] : readingPointers()} />
      <div className="form-foot">
        <Button type="submit" kind="main" icon="check" busy={act.busy} disabled={!readings}>
          Close the balance
        </Button>
        <Button kind="quiet" onClick={onBack}>
          One more cask after all
        </Button>
      </div>
    </form>
  );
}
