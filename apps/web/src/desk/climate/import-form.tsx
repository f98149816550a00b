import type { AnswerOf } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useRef, useState } from 'react';
import { newId } from '../../acts/act.ts';
import { api, client, queries } from '../../data/client.ts';
import { Button, Card, Failed, format, Notice, TextField } from '../../kit/kit.ts';

type Report = AnswerOf<typeof api.maturation.importClimate>;

/** A logger's file: looked through first, imported only when the person has seen what would be left out. */
export function ImportForm({ zoneId }: { zoneId: string }) {
  const [logger, setLogger] = useState('');
  const [file, setFile] = useState<{ name: string; csv: string } | null>(null);
  const actId = useRef(newId());
  const send = useMutation({
    mutationFn: (apply: boolean) =>
      client.call(api.maturation.importClimate, {
        params: { id: zoneId },
        body: { actId: actId.current, logger, csv: file?.csv ?? '', apply },
      }),
    onSuccess: (report) => {
      if (!report.applied) return;
      actId.current = newId();
      setFile(null);
      void queries.invalidateQueries();
    },
  });
  const choose = async (chosen: File | undefined) => {
    if (!chosen) return;
    setFile({ name: chosen.name, csv: await chosen.text() });
    send.reset();
    if (!logger) setLogger(chosen.name.replace(/\.[a-z]+$/i, ''));
  };
  const report = send.data;
  return (
    <Card title="Import a logger’s file">
      <div className="stack">
        <p>
          A table with a time, a temperature and a relative humidity column, as CSV; °C or °F, comma
          or semicolon.
        </p>
        <label className="field">
          <span className="field-label">File</span>
          <input
            className="input"
            type="file"
            accept=".csv,.txt,text/csv"
            onChange={(event) => void choose(event.target.files?.[0])}
          />
        </label>
        <TextField
          label="Logger"
          value={logger}
          onChange={setLogger}
          hint="Its name or serial number."
        />
        <div className="line">
          <Button
            disabled={!file || logger === ''}
            busy={send.isPending}
            onClick={() => {
              send.mutate(false);
            }}
          >
            Look through it
          </Button>
          {report && !report.applied && report.rowsAccepted > 0 && (
            <Button
              kind="main"
              busy={send.isPending}
              onClick={() => {
                send.mutate(true);
              }}
            >
              Import {format.count(report.rowsAccepted, 'reading')}
            </Button>
          )}
        </div>
        {send.isError && <Failed error={send.error} />}
        {report && <ReportOf report={report} />}
      </div>
    </Card>
  );
}

function ReportOf({ report }: { report: Report }) {
  return (
    <div className="stack-tight" role="status">
      <Notice
        tone={report.applied ? 'good' : report.rejectedCount > 0 ? 'caution' : 'plain'}
        title={report.applied ? 'Imported' : 'Looked through, not imported yet'}
      >
        {format.count(report.rowsAccepted, 'reading')} of {format.count(report.rowsRead, 'row')}
        {report.firstAt && `, ${format.date(report.firstAt)} to ${format.date(report.lastAt)}`}.
      </Notice>
      {report.remarks.length > 0 && (
        <ul>
          {report.remarks.map((remark) => (
            <li key={remark}>{remark}</li>
          ))}
        </ul>
      )}
      {report.rejected.length > 0 && (
        <details>
          <summary>{format.count(report.rejectedCount, 'row')} left out</summary>
          <ul>
            {report.rejected.map((r) => (
              <li key={`${String(r.line)}:${r.reason}`}>
                Line {r.line}: {r.reason}
              </li>
            ))}
          </ul>
        </details>
      )}
    </div>
  );
}
