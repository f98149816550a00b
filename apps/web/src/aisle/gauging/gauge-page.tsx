import { brimFullLitres } from '@rundlet/gauging';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { CheckField, format, Notice } from '../../kit/kit.ts';
import { ActForm } from '../acts/act-form.tsx';
import { ActPage } from '../acts/act-page.tsx';
import { VapourCaution } from '../cautions.tsx';
import { ExpectedToday } from './expected.tsx';
import { GaugeOutcome } from './gauge-outcome.tsx';
import { LiveFigures } from './live-figures.tsx';
import { useLiveFigures, withLive } from './live.ts';
import { emptyDraft, readingPointers, readingsOf } from './readings-draft.ts';
import { ReadingsFields } from './readings-fields.tsx';
import { lastMethod, rememberMethod } from './last-method.ts';

export default function GaugePage() {
  return (
    <ActPage
      title="Gauge"
      lead="Type what the instruments show; litres and strength at 20 °C come out as you type."
      caution={<VapourCaution />}
    >
      {(cask) => <GaugeForm key={cask.id} cask={cask} />}
    </ActPage>
  );
}

function GaugeForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.gauge');
  const [draft, setDraft] = useState(() => emptyDraft({ ...lastMethod(), tareKg: cask.tareKg }));
  const [sure, setSure] = useState(false);
  const live = useLiveFigures(draft, cask);
  const { gauged } = live;
  const brim = brimFullLitres(cask);
  const tooMuch = gauged !== null && gauged.bulkLitresAt20C > brim;
  const more =
    gauged !== null &&
    cask.figures !== null &&
    gauged.litresPureAlcohol >
      cask.figures.litresPureAlcohol + 3 * gauged.uncertainties.litresPureAlcohol;

  const submit = async () => {
    const readings = readingsOf(draft);
    if (!readings || !gauged) return;
    rememberMethod(draft);
    await act.run(
      { caskId: cask.id, readings },
      `Gauge ${cask.code}: ${format.litres(gauged.bulkLitresAt20C)} at ${format.strength(gauged.strengthPercentVol, 2)}`,
    );
  };
  if (cask.status !== 'filled')
    return <Notice tone="caution" title="This cask is empty: there is nothing to gauge." />;
  return (
    <>
      <ActForm
        act={act}
        pointers={readingPointers()}
        button="Book the gauge"
        icon="gauge"
        ready={gauged !== null && (!more || sure)}
        applied="The gauge is booked"
        back={`/casks/${cask.id}`}
        again={{ to: '/scan', label: 'Scan the next cask' }}
        onSubmit={() => void submit()}
      >
        <ReadingsFields draft={draft} onChange={setDraft} errors={withLive(act.errors, live)} />
        <LiveFigures live={live} before={cask.figures} />
        {tooMuch && (
          <Notice tone="bad" live title="More than the cask can hold">
            It holds about {format.litres(brim, 0)} brim-full. Check the reading and its unit.
          </Notice>
        )}
        {more && (
          <>
            <Notice tone="caution" live title="More alcohol than the book says">
              A cask cannot gain alcohol by itself. Read again, or check that this is the right
              cask.
            </Notice>
            <CheckField checked={sure} onChange={setSure}>
              I have read it again; book it as it is
            </CheckField>
          </>
        )}
        <ExpectedToday caskId={cask.id} />
      </ActForm>
      {act.done?.status === 'applied' && <GaugeOutcome caskId={cask.id} gaugeId={act.done.id} />}
    </>
  );
}
