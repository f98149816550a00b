import type { PlanView } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Loaded } from '../../kit/kit.ts';
import { VatCaution } from '../../aisle/cautions.tsx';
import { ReduceForm } from '../../aisle/fill/reduce-form.tsx';
import { CompleteForm } from './complete-form.tsx';
import { DrawForm } from './draw-form.tsx';
import { ReserveForm } from './reserve-form.tsx';
import { TrimView } from './trim-view.tsx';

/** The plan's next step: reserve, draw cask by cask, trim with water, record what the vat came to. */
export function CarryOut({ view }: { view: PlanView }) {
  const may = useMay();
  const { plan } = view;
  if (!may('blend') && !may('warehouse')) return null;
  if (plan.status === 'saved')
    return (
      <Card title="Next: reserve the casks">
        <ReserveForm plan={plan} />
      </Card>
    );
  if ((plan.status === 'reserved' || plan.status === 'drawing') && plan.vatId)
    return <Drawing view={view} vatId={plan.vatId} />;
  return null;
}

function Drawing({ view, vatId }: { view: PlanView; vatId: string }) {
  const vat = useApi(api.places.vat, { params: { id: vatId } });
  const left = view.picks.filter((p) => !p.drawn);
  return (
    <div className="stack">
      <VatCaution />
      {left.length > 0 && (
        <Card title="Next: draw a cask">
          <DrawForm key={view.plan.drawn.length} view={view} vatId={vatId} />
        </Card>
      )}
      {view.plan.drawn.length > 0 && (
        <div className="columns">
          <Card title="Water to add now">
            <div className="stack">
              <TrimView planId={view.plan.id} drawn={view.plan.drawn.length} left={left.length} />
              <Loaded query={vat}>{({ vat: held }) => <ReduceForm vat={held} />}</Loaded>
            </div>
          </Card>
          <Card title="When the vat has rested: record the blend">
            <CompleteForm plan={view.plan} />
          </Card>
        </div>
      )}
    </div>
  );
}
