import { BlendRequest, type PlanView } from '@rundlet/contracts';
import { useEffect } from 'react';
import { api, useApi } from '../../data/client.ts';
import { Failed, Loading, Page } from '../../kit/kit.ts';
import { startWishes, wishesOf, type Wishes } from './wishes.ts';

/** Fetches a kept plan: its wishes as they were asked, its casks kept until one is let go. */
export function PlanAgain({
  planId,
  onWishes,
}: {
  planId: string;
  onWishes: (wishes: Wishes) => void;
}) {
  const query = useApi(api.blends.plan, { params: { id: planId } });
  const view = query.data;
  useEffect(() => {
    if (view) onWishes(wishesFrom(view));
    // Once for each plan fetched; the caller's function is new at each draw.
  }, [view]);
  return (
    <Page title="Plan a blend">
      {query.isError ? <Failed error={query.error} /> : <Loading what="Fetching the plan" />}
    </Page>
  );
}

function wishesFrom({ plan, picks }: PlanView): Wishes {
  const codes = new Map(
    plan.parts.flatMap((p) => [
      [p.caskId, p.caskCode],
      [p.fillingId, p.caskCode],
    ]),
  );
  const today = new Date().toISOString().slice(0, 10);
  const asked = BlendRequest.safeParse(plan.request);
  const wishes = asked.success
    ? wishesOf(asked.data, codes)
    : {
        ...startWishes(plan.blendOn),
        litres: plan.targetLitresAt20C,
        strength: plan.targetStrengthPercentVol,
      };
  return {
    ...wishes,
    blendOn: plan.blendOn < today ? today : plan.blendOn,
    insteadOfPlanId: plan.id,
    locks: picks
      .filter((pick) => !pick.drawn && pick.obstacle === null)
      .map((pick) => ({
        id: pick.caskId,
        code: pick.caskCode,
        litres: pick.whole ? null : pick.takeLitresAt20C,
      })),
  };
}
