import type { CaskCard } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { Notice } from '../../kit/kit.ts';
import { ActForm } from '../acts/act-form.tsx';
import { ActPage } from '../acts/act-page.tsx';
import { WeightCaution } from '../cautions.tsx';
import { MeasureFields } from './measure-fields.tsx';
import { measuresDraft, workOut } from './measures.ts';

export default function MeasurePage() {
  return (
    <ActPage
      title="Measures"
      lead="Tare, brim-full litres and inside lengths of the wood. Every later gauge goes by them; earlier gauges stay as they were."
      caution={<WeightCaution />}
    >
      {(cask, card) =>
        card ? (
          <MeasureForm key={cask.id} cask={cask} wood={card.cask} />
        ) : (
          <Notice tone="caution" title="Measures need the network: the card here is a short one." />
        )
      }
    </ActPage>
  );
}

const POINTERS = [
  '/tareKg',
  '/capacityLitres',
  '/geometry/bilgeDiameterMm',
  '/geometry/headDiameterMm',
  '/geometry/lengthMm',
  '/geometry/figure',
];

function MeasureForm({ cask, wood }: { cask: CaskBrief; wood: CaskCard['cask'] }) {
  const act = useAct('cask.measure');
  const [draft, setDraft] = useState(() => measuresDraft(wood));
  const worked = workOut(draft, cask.nominalLitres);
  const geometry = 'geometry' in worked ? worked.geometry : null;
  return (
    <ActForm
      act={act}
      pointers={POINTERS}
      button="Book the measures"
      icon="gauge"
      ready={geometry !== null}
      applied="The measures are booked"
      back={`/casks/${cask.id}`}
      onSubmit={() => {
        if (geometry !== null)
          void act.run(
            {
              caskId: cask.id,
              // Lengths that nobody has measured keep standing as they are.
              geometry: geometry.basis === 'assumed' ? wood.geometry : geometry,
              capacityLitres: draft.capacityLitres,
              tareKg: draft.tareKg,
            },
            `Measure ${cask.code}`,
          );
      }}
    >
      <MeasureFields draft={draft} onChange={setDraft} worked={worked} errors={act.errors} />
    </ActForm>
  );
}
