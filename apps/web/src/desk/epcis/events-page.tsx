import type { EpcisImportReport } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { CaskField } from '../../aisle/fields/cask-field.tsx';
import { api, client, queries, useApi } from '../../data/client.ts';
import { download } from '../../data/download.ts';
import type { Match } from '../../data/resolve.ts';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  Card,
  ChoiceField,
  DateField,
  Failed,
  format,
  Notice,
  Page,
  SelectField,
  Table,
} from '../../kit/kit.ts';

/** What happened, in the form that other programs read: GS1 EPCIS 2.0. */
export default function EventsPage() {
  const may = useMay();
  return (
    <Page
      title="Events in and out"
      lead="GS1 EPCIS 2.0 in JSON-LD: what happened to a cask, a blend or in a period, for whoever comes after; and what a farm or still house sends."
    >
      <ExportCard />
      {may('keep') && <ImportCard />}
    </Page>
  );
}

const yearAgo = (): string => new Date(Date.now() - 365 * 86_400_000).toISOString().slice(0, 10);

function ExportCard() {
  const [about, setAbout] = useState<'cask' | 'blend' | 'period'>('period');
  const [cask, setCask] = useState<Match | null>(null);
  const [blendId, setBlendId] = useState('');
  const [from, setFrom] = useState(yearAgo());
  const [to, setTo] = useState(new Date().toISOString().slice(0, 10));
  const blends = useApi(api.blends.blends, { query: { limit: 200 } });
  const query =
    about === 'cask'
      ? cask && { caskId: cask.id }
      : about === 'blend'
        ? blendId && { blendId }
        : from <= to && { from, to };
  const take = useMutation({
    mutationFn: async () => {
      const { bytes } = await client.file(api.epcis.exportEvents, { query: query || {} });
      download(bytes, 'events.jsonld', 'application/ld+json');
    },
  });
  return (
    <Card title="Take events out">
      <div className="stack">
        <ChoiceField
          label="About"
          value={about}
          onChange={setAbout}
          choices={[
            { value: 'period', label: 'a period' },
            { value: 'cask', label: 'a cask' },
            { value: 'blend', label: 'a blend' },
          ]}
        />
        {about === 'period' && (
          <div className="grid">
            <DateField label="First day" value={from} onChange={setFrom} />
            <DateField
              label="Last day"
              value={to}
              onChange={setTo}
              error={from > to ? 'must not be before the first' : undefined}
            />
          </div>
        )}
        {about === 'cask' && <CaskField label="Cask" value={cask} onChange={setCask} />}
        {about === 'blend' && (
          <SelectField
            label="Blend"
            value={blendId}
            onChange={setBlendId}
            choices={[
              { value: '', label: 'choose a blend' },
              ...(blends.data?.rows ?? []).map((b) => ({
                value: b.id,
                label: `${b.code} ${b.name}`,
              })),
            ]}
          />
        )}
        <p>
          With a cask or a blend go the harvests, ferments, distillation runs and lots that its
          spirit came from.
        </p>
        {take.isError && <Failed error={take.error} />}
        <div>
          <Button
            kind="main"
            icon="download"
            disabled={!query}
            busy={take.isPending}
            onClick={() => {
              take.mutate();
            }}
          >
            Save the events
          </Button>
        </div>
      </div>
    </Card>
  );
}

function ImportCard() {
  const [text, setText] = useState<string | null>(null);
  const send = useMutation({
    mutationFn: (apply: boolean) =>
      client.call(api.epcis.importEvents, {
        body: { document: JSON.parse(text ?? ''), apply },
      }),
    onSuccess: (report) => {
      if (report.applied) void queries.invalidateQueries();
    },
  });
  const report = send.data;
  return (
    <Card title="Bring events in">
      <div className="stack">
        <p>
          Harvests, ferments, distillation runs and spirit lots are taken; every other event is left
          with the reason. All that is taken goes in together, or nothing.
        </p>
        <label className="field">
          <span className="field-label">File</span>
          <input
            className="input"
            type="file"
            accept=".jsonld,.json,application/ld+json,application/json"
            onChange={(event) => {
              const file = event.target.files?.[0];
              send.reset();
              if (file) void file.text().then(setText);
            }}
          />
        </label>
        <div className="line">
          <Button
            disabled={text === null}
            busy={send.isPending}
            onClick={() => {
              send.mutate(false);
            }}
          >
            Look it through
          </Button>
          <Button
            kind="main"
            disabled={!report || report.applied || report.taken.length === 0}
            busy={send.isPending}
            onClick={() => {
              send.mutate(true);
            }}
          >
            Bring them in
          </Button>
        </div>
        {send.isError && <Failed error={send.error} />}
        {report && <ReportView report={report} />}
      </div>
    </Card>
  );
}

function ReportView({ report }: { report: EpcisImportReport }) {
  const rows = [
    ...report.refused.map(({ index, reason }) => ({ index, what: 'refused', detail: reason })),
    ...report.taken.map(({ index, makes }) => ({
      index,
      what: report.applied ? 'taken' : 'can be taken',
      detail: makes,
    })),
    ...report.known.map(({ index, makes }) => ({ index, what: 'known already', detail: makes })),
    ...report.left.map(({ index, reason }) => ({ index, what: 'left', detail: reason })),
  ].sort((a, b) => a.index - b.index);
  return (
    <>
      <Notice
        live
        tone={report.refused.length > 0 ? 'bad' : 'good'}
        title={
          report.refused.length > 0
            ? 'Nothing was taken: events are refused'
            : `${format.count(report.taken.length, 'event')} ${report.applied ? 'taken' : 'can be taken'}`
        }
      >
        {format.count(report.events, 'event')} read, {format.number(report.known.length)} known
        already, {format.number(report.left.length)} left.
      </Notice>
      <Table
        caption="What became of each event"
        rows={rows}
        rowKey={(r) => String(r.index)}
        columns={[
          { key: 'n', title: 'Event', numeric: true, cell: (r) => String(r.index + 1) },
          { key: 'what', title: 'What', cell: (r) => r.what },
          { key: 'detail', title: 'Which, or why', cell: (r) => r.detail },
        ]}
      />
    </>
  );
}
