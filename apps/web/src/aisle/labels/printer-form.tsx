import type { BodyOf } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, Card, ChoiceField, NumberField, TextField } from '../../kit/kit.ts';

export type PrinterDraft = BodyOf<'printer.save'>;

/** What is known of one printer. */
export function PrinterForm({
  draft: given,
  onSaved,
  onCancel,
}: {
  draft: PrinterDraft;
  onSaved: () => void;
  onCancel: () => void;
}) {
  const act = useAct('printer.save');
  const [draft, setDraft] = useState<Record<keyof PrinterDraft, unknown> & PrinterDraft>(given);
  const change = (part: Partial<PrinterDraft>): void => {
    setDraft({ ...draft, ...part });
  };
  const save = async (body: PrinterDraft) => {
    const result = await act.run(body, `Printer ${body.name}`);
    if (result?.status === 'applied') onSaved();
  };
  const move = (
    key: 'rightMm' | 'downMm' | 'pitchAcrossMm' | 'pitchDownMm',
    label: string,
    hint?: string,
  ) => (
    <NumberField
      label={label}
      {...(hint === undefined ? {} : { hint })}
      unit="mm"
      value={draft[key]}
      onChange={(value) => {
        change({ [key]: value ?? 0 });
      }}
      error={act.errors.at(`/${key}`)}
    />
  );
  return (
    <Card title={given.name === '' ? 'A printer' : given.name}>
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void save(draft);
        }}
      >
        <TextField
          label="Name"
          hint="Like: filling store, four-inch"
          autoFocus
          value={draft.name}
          onChange={(name) => {
            change({ name });
          }}
          error={act.errors.at('/name')}
        />
        <ChoiceField
          label="Prints on"
          value={draft.medium}
          onChange={(medium) => {
            change({
              medium,
              dpi: medium === 'sheet' ? 600 : 300,
              printableWidthMm: medium === 'sheet' ? null : 104,
            });
          }}
          choices={[
            { value: 'roll', label: 'Rolls' },
            { value: 'sheet', label: 'Sheets' },
          ]}
        />
        <TextField
          label="Stock in it"
          hint="Optional, like: polyester 100 × 50, resin ribbon"
          value={draft.stock ?? ''}
          onChange={(stock) => {
            change({ stock: stock.trim() === '' ? null : stock });
          }}
          error={act.errors.at('/stock')}
        />
        <ChoiceField
          label="Resolution"
          value={String(draft.dpi) as '203' | '300' | '600'}
          onChange={(dpi) => {
            change({ dpi: Number(dpi) as PrinterDraft['dpi'] });
          }}
          choices={[
            { value: '203', label: '203 dpi' },
            { value: '300', label: '300 dpi' },
            { value: '600', label: '600 dpi' },
          ]}
        />
        {draft.medium === 'roll' && (
          <NumberField
            label="Width it can print"
            hint="About 104 mm on a four-inch head"
            unit="mm"
            value={draft.printableWidthMm}
            onChange={(printableWidthMm) => {
              change({ printableWidthMm });
            }}
            error={act.errors.at('/printableWidthMm')}
          />
        )}
        <div className="grid">
          {move('rightMm', 'Move right', 'Less than 0 moves left')}
          {move('downMm', 'Move down', 'Less than 0 moves up')}
          {draft.medium === 'sheet' && (
            <>
              {move('pitchAcrossMm', 'Wider from column to column')}
              {move('pitchDownMm', 'Wider from row to row')}
            </>
          )}
        </div>
        <ActOutcome
          act={act}
          pointers={[
            '/name',
            '/stock',
            '/printableWidthMm',
            '/rightMm',
            '/downMm',
            '/pitchAcrossMm',
            '/pitchDownMm',
          ]}
        />
        <div className="form-foot">
          <Button type="submit" kind="main" icon="check" busy={act.busy}>
            Save
          </Button>
          <Button onClick={onCancel}>Cancel</Button>
          {given.name !== '' && (
            <Button
              kind="grave"
              busy={act.busy}
              onClick={() => void save({ ...given, inUse: false })}
            >
              Take out of use
            </Button>
          )}
        </div>
      </form>
    </Card>
  );
}
