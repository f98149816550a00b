import { VerifyReport } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { History } from '../../aisle/cask/history.tsx';
import { api, client } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Empty, Failed, format, Notice, Page } from '../../kit/kit.ts';
import { JobProgress } from '../jobs/job-progress.tsx';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';

/** Every entry, newest first, and a check of the whole chain. */
export default function JournalPage() {
  const may = useMay();
  const { list, rows, onEnd } = usePages(api.journal.list);
  return (
    <Page
      title="Journal"
      lead="Everything that was done, by whom and when. Nothing is ever rubbed out: a mistake is reversed by another entry."
    >
      {may('keep') && <Verification />}
      <Card title="Entries">
        <Paged
          list={list}
          rows={rows}
          what="Fetching entries"
          empty={
            <Empty title="Nothing has been done yet">The first act makes the first entry.</Empty>
          }
        >
          <History lines={rows} />
          {onEnd && (
            <Button busy={list.isFetchingNextPage} onClick={onEnd}>
              Earlier entries
            </Button>
          )}
        </Paged>
      </Card>
    </Page>
  );
}

function Verification() {
  const [jobId, setJobId] = useState<string | null>(null);
  const [report, setReport] = useState<VerifyReport | null>(null);
  const start = useMutation({
    mutationFn: () => client.call(api.journal.verify),
    onSuccess: (job) => {
      setReport(null);
      setJobId(job.jobId);
    },
  });
  return (
    <Card title="Check the journal">
      <div className="stack">
        <p>
          Folds every entry anew and compares: the chain of hashes, every record, alcohol and water
          to the milligram, and the signed checkpoints.
        </p>
        {start.isError && <Failed error={start.error} />}
        {jobId ? (
          <JobProgress
            jobId={jobId}
            label="Checking the journal"
            onDone={(job) => {
              const parsed = VerifyReport.safeParse(job.result);
              if (parsed.success) setReport(parsed.data);
              setJobId(null);
            }}
          />
        ) : (
          <div>
            <Button
              busy={start.isPending}
              onClick={() => {
                start.mutate();
              }}
            >
              Check it now
            </Button>
          </div>
        )}
        {report && (
          <Notice
            tone={report.ok ? 'good' : 'bad'}
            live
            title={report.ok ? 'The journal holds' : 'The journal does not hold'}
          >
            {format.count(report.entries, 'entry', 'entries')} and{' '}
            {format.count(report.records, 'record')}; last hash{' '}
            <span className="code">{report.lastHash.slice(0, 16)}…</span>;{' '}
            {format.count(report.checkpoints.kept, 'signed checkpoint')} checked.
            {report.failures.length > 0 && (
              <ul>
                {report.failures.map((f, i) => (
                  <li key={i}>
                    {f.entrySeq !== null && `Entry ${String(f.entrySeq)}: `}
                    {f.what} {f.record}
                  </li>
                ))}
              </ul>
            )}
          </Notice>
        )}
      </div>
    </Card>
  );
}
