import type { Job } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useEffect, type ReactNode } from 'react';
import { api, client, useApi } from '../../data/client.ts';
import { Button, Failed, Notice, Progress } from '../../kit/kit.ts';

export const isOver = (job: Job): boolean =>
  job.status === 'done' || job.status === 'failed' || job.status === 'cancelled';

/** Long work on the server: how far it is, what it says of itself, and a way to stop it. */
export function JobProgress({
  jobId,
  label,
  onDone,
  children,
}: {
  jobId: string;
  label: string;
  onDone: (job: Job) => void;
  children?: (job: Job) => ReactNode;
}) {
  const query = useApi(
    api.jobs.get,
    { params: { id: jobId } },
    { refetchInterval: 500, staleTime: 0 },
  );
  const cancel = useMutation({
    mutationFn: () => client.call(api.jobs.cancel, { params: { id: jobId } }),
  });
  const job = query.data;
  const over = job !== undefined && isOver(job);
  useEffect(() => {
    if (over) onDone(job);
    // The caller's `onDone` is new at each draw; the job ends once.
  }, [over]);
  if (query.isError) return <Failed error={query.error} />;
  if (!job) return <Progress label={label} value={null} />;
  if (job.status === 'failed')
    return (
      <Notice tone="bad" live title={`${label} failed`}>
        {job.error}
      </Notice>
    );
  if (job.status === 'cancelled') return <Notice live>{label} was stopped.</Notice>;
  if (job.status === 'done') return null;
  return (
    <div className="stack-tight">
      <Progress
        label={job.status === 'waiting' ? `${label}: waiting for its turn` : label}
        value={job.progress}
      />
      {children?.(job)}
      <div>
        <Button
          kind="quiet"
          icon="cross"
          busy={cancel.isPending}
          onClick={() => {
            cancel.mutate();
          }}
        >
          Stop
        </Button>
      </div>
    </div>
  );
}
