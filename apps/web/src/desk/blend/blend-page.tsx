import { BlendAnswer, type BlendRequest } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useEffect, useRef, useState } from 'react';
import { useSearch } from 'wouter';
import { api, client } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Failed, LinkButton, Notice, Page } from '../../kit/kit.ts';
import { JobProgress } from '../jobs/job-progress.tsx';
import { AnswerView } from './answer-view.tsx';
import { CostsForm } from './costs-form.tsx';
import { PlanAgain } from './plan-again.tsx';
import type { Replan } from './parts-table.tsx';
import { SearchProgress } from './search-progress.tsx';
import { requestOf, startWishes, wishesOf, type Wishes } from './wishes.ts';
import { useVocabulary } from './vocabulary.ts';
import { WishForm } from './wish-form.tsx';

interface Desk {
  wishes: Wishes;
  /** Rises when the wishes come from elsewhere than the form, which is then drawn afresh. */
  fresh: number;
  job: { id: string; request: BlendRequest } | null;
  answer: { answer: BlendAnswer; request: BlendRequest } | null;
}

/** What was being planned is still there after a look at a cask. */
let left: Desk | null = null;

const startDesk = (): Desk => ({
  wishes: startWishes(new Date().toISOString().slice(0, 10)),
  fresh: 0,
  job: null,
  answer: null,
});

/** From wishes to casks: ask, watch the search, read the answer with its proof, keep it as a plan. */
export default function BlendPage() {
  const [desk, setDesk] = useState<Desk>(() => left ?? startDesk());
  useEffect(() => {
    left = desk;
  }, [desk]);
  const [asked, setAsked] = useState(false);
  const may = useMay();
  const { costs } = useVocabulary();
  const planId = new URLSearchParams(useSearch()).get('plan');
  const [loaded, setLoaded] = useState<string | null>(null);
  const change = (more: Partial<Desk>) => {
    setDesk((now) => ({ ...now, ...more }));
  };
  const { wishes, job, answer, fresh } = desk;
  const { request, errors } = requestOf(wishes);
  const solve = useMutation({
    mutationFn: (body: BlendRequest) => client.call(api.blends.solve, { body }),
    onSuccess: ({ jobId }, body) => {
      change({ job: { id: jobId, request: body }, answer: null });
    },
  });
  const ask = (of: Wishes) => {
    setAsked(true);
    const { request: body } = requestOf(of);
    if (body) solve.mutate(body);
  };
  const replan = ({ locks, exclude }: Replan) => {
    const others = wishes.exclude.filter((c) => !locks.some(({ id }) => id === c.id));
    const next = { ...wishes, locks: [...locks], exclude: union(others, exclude) };
    change({ wishes: next, fresh: fresh + 1 });
    ask(next);
  };
  const relax = (relaxed: BlendRequest) => {
    const codes = new Map(
      [...wishes.include, ...wishes.exclude, ...wishes.locks].map(({ id, code }) => [id, code]),
    );
    const { insteadOfPlanId } = wishes;
    const next = { ...wishesOf(relaxed, codes), insteadOfPlanId };
    change({ wishes: next, fresh: fresh + 1 });
    ask(next);
  };
  if (planId !== null && loaded !== planId)
    return (
      <PlanAgain
        planId={planId}
        onWishes={(from) => {
          setLoaded(planId);
          setDesk((now) => ({ wishes: from, fresh: now.fresh + 1, job: null, answer: null }));
        }}
      />
    );
  return (
    <Page
      title="Plan a blend"
      lead="Say what the vat shall be; the planner finds the casks and proves how good its choice is."
      actions={
        <>
          <Button
            kind="quiet"
            icon="undo"
            onClick={() => {
              setAsked(false);
              setDesk((now) => ({ ...startDesk(), fresh: now.fresh + 1 }));
            }}
          >
            Start afresh
          </Button>
          <LinkButton to="/plans" kind="quiet">
            Plans kept
          </LinkButton>
        </>
      }
    >
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          ask(wishes);
        }}
      >
        <Card title="Wishes">
          <WishForm
            key={fresh}
            wishes={wishes}
            onChange={(next) => {
              change({ wishes: next });
            }}
            errors={asked ? errors : null}
          />
        </Card>
        {asked && errors && (
          <Notice tone="bad" live title="Not asked yet">
            {errors.size === 1
              ? 'One wish is not as it should be'
              : `${String(errors.size)} wishes are not as they should be`}
            : {[...errors.values()].join('; ')}.
          </Notice>
        )}
        {solve.isError && <Failed error={solve.error} />}
        <div>
          <Button
            kind="main"
            icon="blend"
            type="submit"
            disabled={asked && !request}
            busy={solve.isPending || job !== null}
          >
            Find the casks
          </Button>
        </div>
      </form>
      {job && (
        <Card title="The search" key={job.id}>
          <ScrollHere />
          <JobProgress
            jobId={job.id}
            label="Looking for the best casks"
            onDone={(done) => {
              const parsed = BlendAnswer.safeParse(done.result);
              change({
                ...(parsed.success
                  ? { answer: { answer: parsed.data, request: job.request } }
                  : {}),
                ...(done.status === 'failed' ? {} : { job: null }),
              });
            }}
          >
            {(running) => <SearchProgress detail={running.detail} />}
          </JobProgress>
        </Card>
      )}
      {costs && may('administer') && wishes.aims.some(({ kind }) => kind === 'least-cost') && (
        <Card title="What casks cost">
          <CostsForm costs={costs} />
        </Card>
      )}
      {answer && (
        <div className="stack-tight">
          <ScrollHere key={answer.answer.seconds} />
          <AnswerView
            answer={answer.answer}
            request={answer.request}
            onReplan={replan}
            onRelax={relax}
          />
        </div>
      )}
    </Page>
  );
}

/** What has just appeared comes into sight, below the bar at the top. */
function ScrollHere() {
  const ref = useRef<HTMLSpanElement>(null);
  useEffect(() => {
    ref.current?.scrollIntoView({ block: 'center' });
  }, []);
  return <span ref={ref} aria-hidden="true" />;
}

function union<T extends { id: string }>(a: readonly T[], b: readonly T[]): T[] {
  return [...a, ...b.filter(({ id }) => !a.some((one) => one.id === id))];
}
