import { ImportKind, ImportReport, type Job } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries } from '../../data/client.ts';
import { JobProgress } from '../jobs/job-progress.tsx';
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
  const [over, setOver] = useState<Job | null>(null);
  const send = useMutation({
    mutationFn: (apply: boolean) => {
      setOver(null);
      return client.call(api.imports.importCsv, {
        params: { kind },
        body: { csv: csv ?? '', apply },
      });
    },
  });
  const begin = () => {
    send.reset();
    setOver(null);
  };
  const report = over?.result ? ImportReport.parse(over.result) : null;
  const wasStopped = over?.status === 'cancelled';
  const clean = report && report.errors.length === 0 && !report.applied && !wasStopped;
  const busy = send.isPending || (send.isSuccess && over === null);
  return (
    <Card title="Bring a list in">
      <div className="stack">
        <div className="grid">
          <SelectField
            label="What the list holds"
            value={kind}
            onChange={(k) => {
              setKind(k);
              begin();
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
                begin();
                if (file) void file.text().then(setCsv);
              }}
            />
          </label>
        </div>
        <div className="line">
          <Button
            disabled={csv === null}
            busy={busy}
            onClick={() => {
              send.mutate(false);
            }}
          >
            Look through it
          </Button>
          {clean && (
            <Button
              kind="main"
              busy={busy}
              onClick={() => {
                send.mutate(true);
              }}
            >
              Bring in {format.count(report.rowsGood, 'row')}
            </Button>
          )}
        </div>
        {send.isError && <Failed error={send.error} />}
        {send.data && (
          <JobProgress
            key={send.data.jobId}
            jobId={send.data.jobId}
            label={send.variables ? 'Bringing the list in' : 'Looking through the list'}
            onDone={(job) => {
              setOver(job);
              if (send.variables) void queries.invalidateQueries();
            }}
          >
            {({ detail: { doing, rows } }) =>
              typeof rows === 'number' && (
                <p className="soft">
                  {format.count(rows, 'row')}{' '}
                  {doing === 'bringing-in' ? 'brought in' : 'looked through'}.
                </p>
              )
            }
          </JobProgress>
        )}
        {report && <Report report={report} wasStopped={wasStopped} />}
      </div>
    </Card>
  );
}

function Report({ report, wasStopped }: { report: ImportReport; wasStopped: boolean }) {
  const { errors, applied, rowsGood, rowsRead } = report;
  return (
    <div className="stack-tight">
      <Notice
        tone={errors.length > 0 ? 'bad' : wasStopped || !applied ? 'plain' : 'good'}
        live
        title={titleOf(report, wasStopped)}
      >
        {format.count(rowsGood, 'good row')} of {format.number(rowsRead)}.
        {wasStopped && applied && ' Send the file again to bring in the others.'}
      </Notice>
      {errors.length > 0 && (
        <Table
          caption="Rows with faults"
          rows={errors}
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

function titleOf({ errors, applied }: ImportReport, wasStopped: boolean): string {
  if (wasStopped) return applied ? 'Stopped: some rows are in' : 'Stopped: nothing was brought in';
  if (applied)
    return errors.length > 0
      ? 'Brought in, but for rows that others’ work came in the way of'
      : 'Brought in';
  return errors.length > 0 ? 'Nothing was brought in' : 'Nothing wrong found';
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
