import type { LabelTemplateInfo, Printer } from '@rundlet/contracts';
import { useState } from 'react';
import { Link } from 'wouter';
import { Button, ChoiceField, Failed, SelectField } from '../../kit/kit.ts';
import { downloadTestSheet } from './label-job.ts';

export type Dpi = 203 | 300 | 600;
const LAST = 'rundlet-printer-';

/** The printer used last for rolls or sheets on this device. */
export const lastPrinter = (medium: LabelTemplateInfo['medium']): string | null =>
  localStorage.getItem(LAST + medium);

/** Which printer it goes to: its resolution and offsets follow. Without one only the resolution is asked for. */
export function PrinterField({
  template,
  printers,
  printerId,
  dpi,
  onPrinter,
  onDpi,
}: {
  template: LabelTemplateInfo;
  printers: readonly Printer[];
  printerId: string | null;
  dpi: Dpi;
  onPrinter: (id: string | null) => void;
  onDpi: (dpi: Dpi) => void;
}) {
  const offered = printers.filter(({ medium }) => medium === template.medium);
  const chosen = offered.find(({ id }) => id === printerId);
  return (
    <div className="stack">
      {offered.length > 0 && (
        <SelectField
          label="Printer"
          value={chosen?.id ?? 'none'}
          onChange={(id: string) => {
            const to = id === 'none' ? null : id;
            if (to === null) localStorage.removeItem(LAST + template.medium);
            else localStorage.setItem(LAST + template.medium, to);
            onPrinter(to);
          }}
          choices={[
            ...offered.map(({ id, name, dpi: own, stock }) => ({
              value: id,
              label: `${name}, ${String(own)} dpi${stock === null ? '' : `, ${stock}`}`,
            })),
            { value: 'none', label: 'Another, not set up here' },
          ]}
        />
      )}
      {!chosen && (
        <ChoiceField
          label="Printer resolution"
          hint="Modules become whole dots of it"
          value={String(dpi) as '203' | '300' | '600'}
          onChange={(value) => {
            onDpi(Number(value) as Dpi);
          }}
          choices={[
            { value: '203', label: '203 dpi' },
            { value: '300', label: '300 dpi' },
            { value: '600', label: '600 dpi' },
          ]}
        />
      )}
      <div className="line">
        <TestSheetButtons template={template} printerId={chosen?.id ?? null} />
        <Link href="/labels/printers">Printers and their offsets</Link>
      </div>
    </div>
  );
}

/** Printed once on plain paper and held against the stock: outlines, and rules to measure. */
export function TestSheetButtons({
  template,
  printerId,
}: {
  template: LabelTemplateInfo;
  printerId: string | null;
}) {
  const [error, setError] = useState<unknown>(null);
  const get = (format: 'pdf' | 'zpl') => {
    setError(null);
    downloadTestSheet(template.id, printerId, format).catch(setError);
  };
  return (
    <>
      <Button
        icon="download"
        onClick={() => {
          get('pdf');
        }}
      >
        {template.medium === 'sheet' ? 'Test sheet' : 'Test label'}
      </Button>
      {template.medium === 'roll' && (
        <Button
          icon="download"
          onClick={() => {
            get('zpl');
          }}
        >
          Test label in ZPL
        </Button>
      )}
      {error !== null && <Failed error={error} />}
    </>
  );
}
