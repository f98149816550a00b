import type { BlendPlanRecord } from '@rundlet/contracts';
import { Link } from 'wouter';
import { api } from '../../data/client.ts';
import { useKeptPlans } from '../../data/plan.ts';
import { Card, Empty, format, LinkButton, Mark, Page, Table, type Tone } from '../../kit/kit.ts';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';

export const PLAN_STATE: Record<BlendPlanRecord['status'], { tone: Tone; word: string }> = {
  saved: { tone: 'plain', word: 'kept' },
  reserved: { tone: 'caution', word: 'casks reserved' },
  drawing: { tone: 'caution', word: 'being drawn' },
  vatted: { tone: 'good', word: 'vatted' },
  cancelled: { tone: 'plain', word: 'cancelled' },
};

export default function PlansPage() {
  const { list, rows, onEnd } = usePages(api.blends.plans);
  return (
    <Page
      title="Blend plans"
      lead="Plans kept, newest first: from the wish to the vat."
      actions={
        <LinkButton to="/blend" kind="main" icon="blend">
          Plan a blend
        </LinkButton>
      }
    >
      {list.isError && <KeptPlans />}
      <Paged
        list={list}
        rows={rows}
        what="Fetching plans"
        empty={<Empty title="No plan kept yet">Plan a blend and keep its answer.</Empty>}
      >
        <Table
          caption="Blend plans"
          rows={rows}
          rowKey={(p) => p.id}
          onEnd={onEnd}
          columns={[
            {
              key: 'code',
              title: 'Plan',
              cell: (p) => <Link href={`/plans/${p.id}`}>{p.code}</Link>,
            },
            { key: 'name', title: 'Name', cell: (p) => p.name },
            { key: 'on', title: 'Vatting on', cell: (p) => format.date(p.blendOn) },
            {
              key: 'target',
              title: 'Target',
              cell: (p) =>
                `${format.litres(p.targetLitresAt20C)} at ${format.strength(p.targetStrengthPercentVol)}`,
            },
            {
              key: 'casks',
              title: 'Casks',
              numeric: true,
              cell: (p) => format.number(p.parts.length),
            },
            {
              key: 'state',
              title: 'State',
              cell: (p) => (
                <Mark tone={PLAN_STATE[p.status].tone}>{PLAN_STATE[p.status].word}</Mark>
              ),
            },
          ]}
        />
      </Paged>
    </Page>
  );
}

/** Without a network: the plans whose pick lists this device holds. */
function KeptPlans() {
  const plans = useKeptPlans();
  if (plans.length === 0) return null;
  return (
    <Card title="On this device">
      <ul className="bare-list stack-tight">
        {plans.map(({ at, view: { plan } }) => (
          <li key={plan.id} className="line-spread">
            <Link href={`/plans/${plan.id}`}>
              {plan.code} {plan.name}
            </Link>
            <span className="soft small">as of {format.dateTime(at)}</span>
          </li>
        ))}
      </ul>
    </Card>
  );
}
