import type { PlanView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { LiveFigures, useLiveFigures } from '../../aisle/gauging/live-figures.tsx';
import { emptyDraft, readingPointers, readingsOf } from '../../aisle/gauging/readings-draft.ts';
import { ReadingsFields } from '../../aisle/gauging/readings-fields.tsx';
import { api, useApi } from '../../data/client.ts';
import { Button, CheckField, format, SelectField } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { placeWords } from './pick-list.tsx';

/** Draw one of the plan's casks: scanned or chosen, gauged first or taken by the book. */
export function DrawForm({ view, vatId }: { view: PlanView; vatId: string }) {
  const act = useAct('cask.disgorge');
  // Casks that were scanned out stand at the vat; the others may be drawn where they lie.
  const left = view.picks
    .filter((p) => !p.drawn)
    .sort((a, b) => Number(b.outAt !== null) - Number(a.outAt !== null));
  const [caskId, setCaskId] = useState(left[0]?.caskId ?? '');
  const [gauged, setGauged] = useState(true);
  const [draft, setDraft] = useState(() => emptyDraft({ method: 'weight' }));
  const card = useApi(api.casks.card, { params: { id: caskId } }, { enabled: caskId !== '' });
  const live = useLiveFigures(draft, card.data?.cask ?? {});
  const readings = readingsOf(draft);
  const pick = left.find((p) => p.caskId === caskId);
  useScans((text) => {
    const scanned = left.find((p) => text.toUpperCase().includes(p.caskCode));
    if (scanned) setCaskId(scanned.caskId);
  });
  if (!pick) return null;
  const submit = () =>
    act.run(
      {
        caskId,
        vatId,
        planId: view.plan.id,
        readings: gauged ? readings : null,
        bulkLitresAt20C: pick.whole ? null : pick.takeLitresAt20C,
      },
      `Draw ${pick.caskCode} for ${view.plan.code}`,
    );
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <SelectField
        label="Cask"
        hint="Scan it, or choose"
        value={caskId}
        onChange={setCaskId}
        choices={left.map((p) => ({
          value: p.caskId,
          label: `${p.caskCode}, ${p.outAt !== null ? 'scanned out' : p.place ? placeWords(p.place) : 'no position'}`,
        }))}
      />
      <p>
        Planned: {pick.whole ? 'all of it, ' : ''}
        {format.litres(pick.takeLitresAt20C)} (forecast).
      </p>
      <CheckField checked={gauged} onChange={setGauged}>
        Gauge it first; without, the book figures go into the vat
      </CheckField>
      {gauged && (
        <>
          <ReadingsFields draft={draft} onChange={setDraft} errors={act.errors} />
          <LiveFigures live={live} before={card.data?.filling?.figures ?? null} />
        </>
      )}
      <ActOutcome act={act} pointers={readingPointers()} />
      <div>
        <Button
          kind="main"
          icon="drop"
          type="submit"
          busy={act.busy}
          disabled={gauged && readings === null}
        >
          Draw {pick.caskCode}
        </Button>
      </div>
    </form>
  );
}
