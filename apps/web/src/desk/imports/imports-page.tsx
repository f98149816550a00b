import { ImportKind, type ImportReport } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries } from '../../data/client.ts';
import { Button, Card, Failed, format, Notice, Page, SelectField, Table } from '../../kit/kit.ts';

const KIND_WORDS: Record<ImportKind, string> = {
  casks: 'casks',
  regauges: 'regauges',
  plots: 'plots',
  'harvest-lots': 'harvest lots',
  ferments: 'ferments',
  'still-runs': 'distillation runs',
  'spirit-lots': 'spirit lots',
  positions: 'rack positions',
};
const EXPORTS = [
  ['casks', 'Casks'],
  ['gauges', 'Gauges'],
  ['postings', 'Ledger lines'],
  ['positions', 'Rack positions'],
] as const;

/** Lists in and out as CSV. All rows of a file go in, or none. */
export default function ImportsPage() {
  return (
    <Page
      title="Lists in and out"
      lead="Tables as CSV. A file is looked through first; then all its rows go in, or none."
    >
      <ImportCard />
      <Card title="Take lists out">
        <div className="line">
          {EXPORTS.map(([kind, word]) => (
            <ExportButton key={kind} kind={kind}>
              {word}
            </ExportButton>
          ))}
        </div>
      </Card>
    </Page>
  );
}

function ImportCard() {
  const [kind, setKind] = useState<ImportKind>('casks');
  const [csv, setCsv] = useState<string | null>(null);
  const send = useMutation({
    mutationFn: (apply: boolean) =>
      client.call(api.imports.importCsv, { params: { kind }, body: { csv: csv ?? '', apply } }),
    onSuccess: (r) => {
      if (r.applied) void queries.invalidateQueries();
    },
  });
  const report = send.data;
  const clean = report && report.errors.length === 0 && !report.applied;
  return (
    <Card title="Bring a list in">
      <div className="stack">
        <div className="grid">
          <SelectField
            label="What the list holds"
            value={kind}
            onChange={(k) => {
              setKind(k);
              send.reset();
            }}
            choices={ImportKind.options.map((value) => ({ value, label: KIND_WORDS[value] }))}
          />
          <label className="field">
            <span className="field-label">File</span>
            <input
              className="input"
              type="file"
              accept=".csv,text/csv"
              onChange={(event) => {
                const file = event.target.files?.[0];
                send.reset();
                if (file) void file.text().then(setCsv);
              }}
            />
          </label>
        </div>
        <div className="line">
          <Button
            disabled={csv === null}
            busy={send.isPending}
            onClick={() => {
              send.mutate(false);
            }}
          >
            Look through it
          </Button>
          {clean && (
            <Button
              kind="main"
              busy={send.isPending}
              onClick={() => {
                send.mutate(true);
              }}
            >
              Bring in {format.count(report.rowsGood, 'row')}
            </Button>
          )}
        </div>
        {send.isError && <Failed error={send.error} />}
        {report && <Report report={report} />}
      </div>
    </Card>
  );
}

function Report({ report }: { report: ImportReport }) {
  return (
    <div className="stack-tight">
      <Notice
        tone={report.errors.length > 0 ? 'bad' : report.applied ? 'good' : 'plain'}
        live
        title={
          report.applied
            ? report.errors.length > 0
              ? 'Brought in, but for rows that others’ work came in the way of'
              : 'Brought in'
            : report.errors.length > 0
              ? 'Nothing was brought in'
              : 'Nothing wrong found'
        }
      >
        {format.count(report.rowsGood, 'good row')} of {format.number(report.rowsRead)}.
      </Notice>
      {report.errors.length > 0 && (
        <Table
          caption="Rows with faults"
          rows={report.errors}
          rowKey={(e) => `${String(e.line)}:${e.column ?? ''}:${e.message}`}
          columns={[
            { key: 'line', title: 'Line', numeric: true, cell: (e) => e.line },
            { key: 'column', title: 'Column', cell: (e) => e.column ?? '–' },
            { key: 'message', title: 'What is wrong', cell: (e) => e.message },
          ]}
        />
      )}
    </div>
  );
}

function ExportButton({ kind, children }: { kind: (typeof EXPORTS)[number][0]; children: string }) {
  const take = useMutation({
    mutationFn: () => client.file(api.imports.exportCsv, { params: { kind } }),
    onSuccess: ({ bytes, contentType, fileName }) => {
      const url = URL.createObjectURL(new Blob([bytes], { type: contentType }));
      const link = document.createElement('a');
      link.href = url;
      link.download = fileName ?? `${kind}.csv`;
      link.click();
      URL.revokeObjectURL(url);
    },
  });
  return (
    <>
      <Button
        icon="download"
        busy={take.isPending}
        onClick={() => {
          take.mutate();
        }}
      >
        {children}
      </Button>
      {take.isError && <Failed error={take.error} />}
    </>
  );
}
