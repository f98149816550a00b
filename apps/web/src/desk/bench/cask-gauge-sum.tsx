import { GAUGING_SOURCES } from '@rundlet/gauging';
import { useMemo, useState } from 'react';
import { LiveFigures, useLiveFigures } from '../../aisle/gauging/live-figures.tsx';
import { withLive } from '../../aisle/gauging/live.ts';
import { emptyDraft } from '../../aisle/gauging/readings-draft.ts';
import { ReadingsFields } from '../../aisle/gauging/readings-fields.tsx';
import { MeasureFields } from '../../aisle/register/measure-fields.tsx';
import { emptyMeasures, workOut } from '../../aisle/register/measures.ts';
import { Card, fieldErrors } from '../../kit/kit.ts';

const NO_ERRORS = fieldErrors(null);

/** A whole gauging, by any method, of a cask that is not in the stock. */
export function CaskGaugeSum() {
  const [measures, setMeasures] = useState(emptyMeasures);
  const [draft, setDraft] = useState(() => emptyDraft());
  const worked = useMemo(() => workOut(measures, null), [measures]);
  const geometry = worked.status === 'ready' ? worked.geometry : undefined;
  const live = useLiveFigures(draft, { geometry, capacityLitres: measures.capacityLitres });
  const byDip = draft.method === 'dip' || draft.method === 'ullage';
  return (
    <Card title="Cask: gauge it">
      <div className="stack">
        <ReadingsFields draft={draft} onChange={setDraft} errors={withLive(NO_ERRORS, live)} />
        {byDip && (
          <MeasureFields
            draft={measures}
            onChange={setMeasures}
            worked={worked}
            errors={NO_ERRORS}
          />
        )}
        <LiveFigures live={live} />
        <p className="soft small">Source: {GAUGING_SOURCES[draft.method]}.</p>
      </div>
    </Card>
  );
}
