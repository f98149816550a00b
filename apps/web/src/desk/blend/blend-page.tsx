import { BlendAnswer, type BlendRequest } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client } from '../../data/client.ts';
import { Button, Card, Failed, LinkButton, Page } from '../../kit/kit.ts';
import { JobProgress } from '../jobs/job-progress.tsx';
import { AnswerView } from './answer-view.tsx';
import { SearchProgress } from './search-progress.tsx';
import { SavePlan } from './save-plan.tsx';
import { requestOf, startWishes, type Wishes } from './wishes.ts';
import { WishForm } from './wish-form.tsx';

/** From wishes to casks: ask, watch the search, read the answer with its proof, keep it as a plan. */
export default function BlendPage() {
  const [wishes, setWishes] = useState<Wishes>(() =>
    startWishes(new Date().toISOString().slice(0, 10)),
  );
  const [asked, setAsked] = useState(false);
  const [job, setJob] = useState<{ id: string; request: BlendRequest } | null>(null);
  const [answer, setAnswer] = useState<{ answer: BlendAnswer; request: BlendRequest } | null>(null);
  const { request, errors } = requestOf(wishes);
  const solve = useMutation({
    mutationFn: (body: BlendRequest) => client.call(api.blends.solve, { body }),
    onSuccess: ({ jobId }, body) => {
      setJob({ id: jobId, request: body });
    },
  });
  const ask = () => {
    setAsked(true);
    if (!request) return;
    setAnswer(null);
    solve.mutate(request);
  };
  return (
    <Page
      title="Plan a blend"
      lead="Say what the vat shall be; the planner finds the casks and proves how good its choice is."
      actions={
        <LinkButton to="/plans" kind="quiet">
          Plans kept
        </LinkButton>
      }
    >
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          ask();
        }}
      >
        <Card title="Wishes">
          <WishForm wishes={wishes} onChange={setWishes} errors={asked ? errors : null} />
        </Card>
        {solve.isError && <Failed error={solve.error} />}
        <div>
          <Button kind="main" icon="blend" type="submit" busy={solve.isPending || job !== null}>
            Find the casks
          </Button>
        </div>
      </form>
      {job && (
        <JobProgress
          jobId={job.id}
          label="Looking for the best casks"
          onDone={(done) => {
            const parsed = BlendAnswer.safeParse(done.result);
            if (parsed.success) setAnswer({ answer: parsed.data, request: job.request });
            if (done.status !== 'failed') setJob(null);
          }}
        >
          {(running) => <SearchProgress detail={running.detail} />}
        </JobProgress>
      )}
      {answer && (
        <div className="stack">
          <AnswerView answer={answer.answer} />
          {answer.answer.parts.length > 0 && (
            <SavePlan answer={answer.answer} request={answer.request} />
          )}
        </div>
      )}
    </Page>
  );
}
