import { useState } from 'react';
import { newId } from '../../acts/act.ts';
import { useAct } from '../../acts/use-act.ts';
import { useCask, type CaskBrief } from '../../data/cask.ts';
import type { Match } from '../../data/resolve.ts';
import { CheckField } from '../../kit/kit.ts';
import { FillingCaution, WeightCaution } from '../cautions.tsx';
import { CaskField } from '../fields/cask-field.tsx';
import { PositionField, type ChosenPosition } from '../fields/position-field.tsx';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import { emptyDraft, readingPointers, readingsOf } from '../gauging/readings-draft.ts';
import { ReadingsFields } from '../gauging/readings-fields.tsx';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function ReRackPage() {
  return (
    <ActPage
      title="Re-rack"
      lead="The whole contents go into another, empty cask; age and origin go with them."
      caution={
        <>
          <FillingCaution />
          <WeightCaution />
        </>
      }
    >
      {(cask) => <ReRackForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function ReRackForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.re-rack');
  const [fillingId] = useState(newId);
  const [into, setInto] = useState<Match | null>(null);
  const [gauged, setGauged] = useState(true);
  const [draft, setDraft] = useState(() => emptyDraft());
  const [to, setTo] = useState<ChosenPosition | null>(null);
  const target = useCask(into?.id ?? null);
  const live = useLiveFigures(draft, target.brief ?? {});
  const readings = readingsOf(draft);
  const submit = async () => {
    if (!into) return;
    await act.run(
      {
        fromCaskId: cask.id,
        toCaskId: into.id,
        fillingId,
        readings: gauged ? readings : null,
        positionId: to?.id ?? null,
      },
      `Re-rack ${cask.code} into ${into.code}`,
    );
  };
  return (
    <ActForm
      act={act}
      pointers={['/toCaskId', '/positionId', ...(gauged ? readingPointers() : [])]}
      button="Book the re-racking"
      icon="swap"
      ready={into !== null && (!gauged || readings !== null)}
      applied="The re-racking is booked"
      back={`/casks/${into?.id ?? cask.id}`}
      onSubmit={() => void submit()}
    >
      <CaskField
        label="Into the empty cask"
        value={into}
        onChange={setInto}
        error={act.errors.at('/toCaskId')}
      />
      <CheckField checked={gauged} onChange={setGauged}>
        Gauge it in the new cask; without, the book figures go over as they are
      </CheckField>
      {gauged && (
        <>
          <ReadingsFields draft={draft} onChange={setDraft} errors={withLive(act.errors, live)} />
          <LiveFigures live={live} before={cask.figures} />
        </>
      )}
      {into && (
        <PositionField
          label="New cask’s position (if it moves)"
          cask={target.brief}
          value={to}
          onChange={setTo}
          error={act.errors.at('/positionId')}
        />
      )}
    </ActForm>
  );
}
