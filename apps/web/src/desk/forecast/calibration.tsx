import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Failed, format } from '../../kit/kit.ts';
import { JobProgress } from '../jobs/job-progress.tsx';

/** What the forecasts were learned from, and a way to learn again. */
export function Calibration() {
  const may = useMay();
  const query = useApi(api.maturation.calibration);
  const [started, setStarted] = useState<string | null>(null);
  const start = useMutation({
    mutationFn: () => client.call(api.maturation.calibrate),
    onSuccess: ({ jobId }) => {
      setStarted(jobId);
    },
  });
  const jobId = started ?? query.data?.jobId ?? null;
  return (
    <Card title="Learned from the gauges">
      {query.data && (
        <p>
          {query.data.madeAt
            ? `On ${format.date(query.data.madeAt)}, from ${format.count(query.data.fillings, 'filling')} and ${format.count(query.data.regauges, 'regauge')}.`
            : 'Nothing has been learned yet; forecasts rest on published orders of magnitude.'}
        </p>
      )}
      {jobId && (
        <JobProgress
          jobId={jobId}
          label="Learning"
          onDone={() => {
            setStarted(null);
            void queries.invalidateQueries();
          }}
        />
      )}
      {start.isError && <Failed error={start.error} />}
      {may('blend') && !jobId && (
        <Button
          busy={start.isPending}
          onClick={() => {
            start.mutate();
          }}
        >
          Learn again from all gauges
        </Button>
      )}
    </Card>
  );
}
