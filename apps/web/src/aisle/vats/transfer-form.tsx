import type { Vat } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import { format, NumberField } from '../../kit/kit.ts';
import { VatField } from '../fields/vat-field.tsx';
import { VatForm } from './vat-form.tsx';

export function TransferForm({ vat }: { vat: Vat }) {
  const act = useAct('vat.transfer');
  const [toVatId, setTo] = useState('');
  const [litres, setLitres] = useState<number | null>(null);
  return (
    <VatForm
      act={act}
      pointers={['/toVatId', '/bulkLitresAt20C']}
      button="Book the pumping"
      icon="move"
      ready={toVatId !== '' && litres !== null}
      applied="The pumping over is booked"
      onSubmit={() => {
        if (litres !== null)
          void act.run(
            { fromVatId: vat.id, toVatId, bulkLitresAt20C: litres },
            `Pump ${format.litres(litres)} from ${vat.name}`,
          );
      }}
    >
      <VatField
        label="Into"
        value={toVatId}
        onChange={setTo}
        only={(view) => view.vat.id !== vat.id}
        error={act.errors.at('/toVatId')}
      />
      <NumberField
        label="Bulk at 20 °C"
        hint={`At most ${format.litres(vat.figures.bulkLitresAt20C)}`}
        unit="L"
        value={litres}
        onChange={setLitres}
        error={act.errors.at('/bulkLitresAt20C')}
      />
    </VatForm>
  );
}
