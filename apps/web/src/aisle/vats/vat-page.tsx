import { api, type VatView } from '@rundlet/contracts';
import { useState } from 'react';
import { useParams } from 'wouter';
import { useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, ChoiceField, LinkButton, Loaded, Page } from '../../kit/kit.ts';
import { VatCaution, VapourCaution } from '../cautions.tsx';
import { ReduceForm } from '../fill/reduce-form.tsx';
import { DeliverForm } from './deliver-form.tsx';
import { ReceiveForm } from './receive-form.tsx';
import { TransferForm } from './transfer-form.tsx';
import { VatBalance } from './vat-balance.tsx';
import { VatGaugeForm } from './vat-gauge-form.tsx';
import { VatHistory } from './vat-history.tsx';

export default function VatPage() {
  const { id = '' } = useParams<{ id: string }>();
  const may = useMay();
  const vat = useApi(api.places.vat, { params: { id } });
  return (
    <Loaded query={vat} what="Fetching the vat">
      {(view) => (
        <Page
          title={view.vat.name}
          actions={
            <>
              {may('warehouse') && (
                <LinkButton to={`/labels?kind=vat&ids=${view.vat.id}`} icon="label">
                  Print label
                </LinkButton>
              )}
              <LinkButton to="/vats" icon="back" kind="quiet">
                All vats
              </LinkButton>
            </>
          }
        >
          <div className="columns">
            <div className="stack">
              <VatWork view={view} />
              <Card title="History">
                <VatHistory vatId={view.vat.id} />
              </Card>
            </div>
            <div className="stack">
              <VatBalance view={view} />
              {view.vat.figures.litresPureAlcohol > 0 && (
                <LinkButton to={`/lineage/vat/${view.vat.id}`} icon="thread">
                  Trace what is in it
                </LinkButton>
              )}
              <VatCaution />
              <VapourCaution />
            </div>
          </div>
        </Page>
      )}
    </Loaded>
  );
}

type Work = 'receive' | 'gauge' | 'reduce' | 'transfer' | 'deliver';

function VatWork({ view }: { view: VatView }) {
  const may = useMay();
  const filled = view.vat.figures.litresPureAlcohol > 0;
  const [work, setWork] = useState<Work>(filled ? 'gauge' : 'receive');
  if (!may('warehouse')) return null;
  return (
    <Card title="Work on it">
      <div className="stack">
        <ChoiceField
          label="What is being done"
          hideLabel
          value={work}
          onChange={setWork}
          choices={[
            { value: 'receive', label: 'Receive spirit' },
            { value: 'gauge', label: 'Gauge', disabled: !filled },
            { value: 'reduce', label: 'Reduce', disabled: !filled },
            { value: 'transfer', label: 'Pump over', disabled: !filled },
            ...(may('keep')
              ? [{ value: 'deliver' as const, label: 'Deliver', disabled: !filled }]
              : []),
          ]}
        />
        {work === 'receive' && <ReceiveForm vat={view.vat} />}
        {work === 'gauge' && <VatGaugeForm vat={view.vat} />}
        {work === 'reduce' && <ReduceForm vat={view.vat} />}
        {work === 'transfer' && <TransferForm vat={view.vat} />}
        {work === 'deliver' && <DeliverForm vat={view.vat} />}
      </div>
    </Card>
  );
}
