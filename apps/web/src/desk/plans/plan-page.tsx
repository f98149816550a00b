import { BlendAnswer, type PlanView } from '@rundlet/contracts';
import { useParams } from 'wouter';
import { usePlan } from '../../data/plan.ts';
import {
  Button,
  Card,
  Facts,
  Failed,
  format,
  LinkButton,
  Loading,
  Mark,
  Notice,
  Page,
} from '../../kit/kit.ts';
import { AnswerView } from '../blend/answer-view.tsx';
import { CancelPlan } from './cancel-plan.tsx';
import { CarryOut } from './carry-out.tsx';
import { PickList } from './pick-list.tsx';
import { PlanHistory } from './plan-history.tsx';
import { PLAN_STATE } from './plans-page.tsx';
import { ReleasePlan } from './release-plan.tsx';
import { ScanOut } from './scan-out.tsx';

/** A plan from reserving its casks to the finished vat; its pick list prints by itself. */
export default function PlanPage() {
  const { id = '' } = useParams<{ id: string }>();
  const { view, keptAt, query } = usePlan(id);
  if (!view)
    return query.isError ? (
      <Failed error={query.error} retry={() => void query.refetch()} />
    ) : (
      <Loading what="Fetching the plan" />
    );
  const { plan } = view;
  const answer = BlendAnswer.safeParse(plan.answer);
  return (
    <Page
      title={`${plan.code} ${plan.name}`}
      actions={
        <>
          <Button
            icon="download"
            onClick={() => {
              print();
            }}
          >
            Print the pick list
          </Button>
          {keptAt === null && (plan.status === 'saved' || plan.status === 'reserved') && (
            <LinkButton to={`/blend?plan=${plan.id}`} icon="blend">
              Plan again, keeping casks
            </LinkButton>
          )}
          <LinkButton to="/plans" kind="quiet">
            All plans
          </LinkButton>
        </>
      }
    >
      <Facts
        facts={[
          [
            'State',
            <Mark key="s" tone={PLAN_STATE[plan.status].tone}>
              {PLAN_STATE[plan.status].word}
            </Mark>,
          ],
          [
            'Target',
            `${format.litres(plan.targetLitresAt20C)} at ${format.strength(plan.targetStrengthPercentVol, 2)}`,
          ],
          view.vat ? ['Vat', `${view.vat.name} (${view.vat.code})`] : null,
          ['Vatting on', format.date(plan.blendOn)],
          ['Water planned', format.litres(plan.waterLitresAt20C)],
          ['Made by', `${makerOf(view)}, ${format.date(plan.createdAt)}`],
          plan.blendId
            ? [
                'Blend',
                <LinkButton key="b" to={`/blends/${plan.blendId}`} kind="quiet">
                  Open the blend
                </LinkButton>,
              ]
            : null,
        ]}
      />
      <div className="not-printed">
        {keptAt === null ? (
          <CarryOut view={view} />
        ) : (
          <div className="stack">
            <Notice title="As this device holds it">
              The plan as of {format.dateTime(keptAt)}. Casks scanned out here are sent when the
              network is back; drawing and gauging need it.
            </Notice>
            <Card title="Scan out, in the aisle">
              <ScanOut view={view} />
            </Card>
          </div>
        )}
      </div>
      <PickList view={view} />
      <div className="stack not-printed">
        <PlanHistory view={view} />
        {answer.success && (
          <details>
            <summary>The planner’s answer as it was given</summary>
            <AnswerView answer={answer.data} />
          </details>
        )}
        {keptAt === null && plan.status !== 'vatted' && plan.status !== 'cancelled' && (
          <Card title="Give the plan up">
            <div className="stack">
              {plan.status === 'reserved' && <ReleasePlan planId={plan.id} code={plan.code} />}
              <CancelPlan planId={plan.id} />
            </div>
          </Card>
        )}
      </div>
    </Page>
  );
}

/** By name; the plan itself holds the id. */
const makerOf = ({ history }: PlanView): string =>
  history.find(({ kind }) => kind === 'plan.save')?.actorName ?? 'somebody';
