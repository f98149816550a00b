import type { BodyOf, Vat } from '@rundlet/contracts';
import { estimateDuty } from '@rundlet/domain';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import { api, useApi } from '../../data/client.ts';
import { ChoiceField, Figure, format, NumberField, TextField } from '../../kit/kit.ts';
import { VatForm } from './vat-form.tsx';

type Kind = BodyOf<'vat.deliver'>['kind'];

/** Spirit leaves the account: delivered, bottled or destroyed. */
export function DeliverForm({ vat }: { vat: Vat }) {
  const act = useAct('vat.deliver');
  const [kind, setKind] = useState<Kind>('delivered');
  const [to, setTo] = useState('');
  const [litres, setLitres] = useState<number | null>(null);
  return (
    <VatForm
      act={act}
      pointers={['/kind', '/to', '/bulkLitresAt20C']}
      button="Book it out"
      icon="send"
      ready={litres !== null}
      applied="It is booked out of the account"
      onSubmit={() => {
        if (litres !== null)
          void act.run(
            { vatId: vat.id, bulkLitresAt20C: litres, to, kind },
            `${format.litres(litres)} out of ${vat.name}`,
          );
      }}
    >
      <ChoiceField
        label="How it leaves"
        value={kind}
        onChange={setKind}
        choices={[
          { value: 'delivered', label: 'Delivered' },
          { value: 'bottled', label: 'Bottled' },
          { value: 'destroyed', label: 'Destroyed' },
        ]}
      />
      <TextField label="To whom or what" value={to} onChange={setTo} error={act.errors.at('/to')} />
      <NumberField
        label="Bulk at 20 °C"
        hint={`At most ${format.litres(vat.figures.bulkLitresAt20C)}`}
        unit="L"
        value={litres}
        onChange={setLitres}
        error={act.errors.at('/bulkLitresAt20C')}
      />
      {kind === 'delivered' && litres !== null && <DutyEstimate vat={vat} litres={litres} />}
    </VatForm>
  );
}

/** By the terms in force today, where a rate was entered. */
function DutyEstimate({ vat, litres }: { vat: Vat; litres: number }) {
  const today = new Date().toISOString().slice(0, 10);
  const terms = useApi(api.books.terms).data?.rows.find((row) => row.effectiveFrom <= today);
  if (!terms?.terms.duty || litres < 0) return null;
  const { strengthPercentVol } = vat.figures;
  const { amount, currency } = estimateDuty(
    { bulkLitresAt20C: litres, strengthPercentVol },
    terms.terms.duty,
  );
  return (
    <Figure
      label="Duty it would owe"
      value={amount}
      unit={currency}
      decimals={2}
      origin="calculated"
      note="an estimate; check with your authority"
    />
  );
}
