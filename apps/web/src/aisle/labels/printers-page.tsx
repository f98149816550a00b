import { api, type LabelTemplateInfo, type Printer } from '@rundlet/contracts';
import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { newId } from '../../acts/act.ts';
import { queryKey, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  Card,
  Empty,
  format,
  Loaded,
  LinkButton,
  Page,
  SelectField,
  Table,
  type Column,
} from '../../kit/kit.ts';
import { VapourCaution } from '../cautions.tsx';
import { TestSheetButtons } from './printer-field.tsx';
import { PrinterForm, type PrinterDraft } from './printer-form.tsx';

const NEW: Omit<PrinterDraft, 'id'> = {
  name: '',
  medium: 'roll',
  stock: null,
  dpi: 300,
  printableWidthMm: 104,
  rightMm: 0,
  downMm: 0,
  pitchAcrossMm: 0,
  pitchDownMm: 0,
  inUse: true,
};

const columns: readonly Column<Printer>[] = [
  { key: 'name', title: 'Printer', cell: ({ name }) => name },
  {
    key: 'medium',
    title: 'Prints on',
    cell: (p) => p.stock ?? (p.medium === 'roll' ? 'rolls' : 'sheets'),
  },
  { key: 'dpi', title: 'dpi', numeric: true, cell: ({ dpi }) => dpi },
  {
    key: 'offset',
    title: 'Moved',
    cell: ({ rightMm, downMm }) =>
      `${format.signed(rightMm, 1)} mm right, ${format.signed(downMm, 1)} mm down`,
  },
];

/** A record without the mark of the entry that wrote it. */
function draftOf(printer: Printer): PrinterDraft {
  const draft: Partial<Printer> = { ...printer };
  delete draft.lastEntryId;
  return draft as PrinterDraft;
}

/** The site's printers and the millimetres by which each is out. */
export default function PrintersPage() {
  const printers = useApi(api.labels.printers);
  const queries = useQueryClient();
  const may = useMay();
  const [draft, setDraft] = useState<PrinterDraft | null>(null);
  const saved = async () => {
    await queries.invalidateQueries({ queryKey: queryKey(api.labels.printers).slice(0, 2) });
    setDraft(null);
  };
  return (
    <Page
      title="Printers"
      lead="Every printer is out by a millimetre or two. Measure it once on a test sheet; what you enter here is put right on every label."
      actions={
        <LinkButton icon="back" to="/labels">
          Labels
        </LinkButton>
      }
    >
      <div className="columns">
        <div className="stack">
          <Card title="In use">
            <div className="stack">
              <Loaded query={printers} what="Asking for the printers">
                {({ rows }) =>
                  rows.length === 0 ? (
                    <Empty title="No printer is set up yet">
                      Labels can be printed without; then nothing is moved.
                    </Empty>
                  ) : (
                    <Table
                      caption="Printers in use"
                      columns={[
                        ...columns,
                        {
                          key: 'change',
                          title: '',
                          cell: (printer) =>
                            may('keep') && (
                              <Button
                                onClick={() => {
                                  setDraft(draftOf(printer));
                                }}
                              >
                                Change<span className="visually-hidden"> {printer.name}</span>
                              </Button>
                            ),
                        },
                      ]}
                      rows={rows}
                      rowKey={({ id }) => id}
                    />
                  )
                }
              </Loaded>
              {may('keep') ? (
                <div>
                  <Button
                    icon="label"
                    onClick={() => {
                      setDraft({ id: newId(), ...NEW });
                    }}
                  >
                    Set up a printer
                  </Button>
                </div>
              ) : (
                <p className="soft">A keeper sets printers up.</p>
              )}
            </div>
          </Card>
          <HowToMeasure printers={printers.data?.rows ?? []} />
        </div>
        {draft && (
          <PrinterForm
            key={draft.id}
            draft={draft}
            onSaved={() => void saved()}
            onCancel={() => {
              setDraft(null);
            }}
          />
        )}
      </div>
      <VapourCaution />
    </Page>
  );
}

function HowToMeasure({ printers }: { printers: readonly Printer[] }) {
  const templates = useApi(api.labels.templates);
  const rows = templates.data?.rows ?? [];
  const [templateId, setTemplateId] = useState('');
  const [printerId, setPrinterId] = useState('none');
  const template: LabelTemplateInfo | undefined =
    rows.find(({ id }) => id === templateId) ?? rows[0];
  return (
    <Card title="Measure it">
      <div className="stack">
        <ol className="stack-tight">
          <li>Print the test sheet at 100 %, with scaling off, on plain paper.</li>
          <li>
            Measure the rule. Where it is not as long as it says, the print is scaled: put that
            right first.
          </li>
          <li>
            Lay the sheet over the stock against the light and measure how far its lines are out.
          </li>
          <li>
            Enter by how much the print has to move, save, and print the test sheet once more.
          </li>
        </ol>
        <div className="grid">
          <SelectField
            label="Template"
            value={template?.id ?? ''}
            onChange={setTemplateId}
            choices={rows.map(({ id, name }) => ({ value: id, label: name }))}
          />
          <SelectField
            label="As printed by"
            value={printerId}
            onChange={setPrinterId}
            choices={[
              ...printers.map(({ id, name }) => ({ value: id, label: name })),
              { value: 'none', label: 'No printer: nothing is moved' },
            ]}
          />
        </div>
        {template && (
          <div className="line">
            <TestSheetButtons
              template={template}
              printerId={printerId === 'none' ? null : printerId}
            />
          </div>
        )}
      </div>
    </Card>
  );
}
