import type { BodyOf, Vat } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import { ChoiceField, format, NumberField, TextField } from '../../kit/kit.ts';
import { DutyEstimate } from './duty-estimate.tsx';
import { VatForm } from './vat-form.tsx';

type Kind = BodyOf<'vat.deliver'>['kind'];

/** Spirit leaves the vat, and with it the account unless it is duty-paid: delivered, bottled or destroyed. */
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
      applied={
        vat.dutyStatus === 'paid'
          ? 'It is booked out of the vat'
          : 'It is booked out of the account'
      }
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
      {kind === 'delivered' && litres !== null && vat.dutyStatus === 'suspended' && (
        <DutyEstimate of={{ ...vat.figures, bulkLitresAt20C: litres }} />
      )}
    </VatForm>
  );
}
