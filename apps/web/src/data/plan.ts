/** A plan from the server when it answers, from this device otherwise, with what waits in the outbox laid over. */
import { api, type PlanView } from '@rundlet/contracts';
import type { OutboxItem } from '@rundlet/client';
import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { useEffect } from 'react';
import { useOutboxItems } from '../acts/outbox.ts';
import { queries, useApi } from './client.ts';
import { keep, kept } from './database.ts';

export interface KeptPlan {
  readonly at: string;
  readonly view: PlanView;
}
const KEPT = 'kept-plans';
const MOST_KEPT = 5;

/** Plans whose casks are being fetched, as they were when last looked at here; newest first. */
export function useKeptPlans(): readonly KeptPlan[] {
  const query = useQuery({
    queryKey: [KEPT],
    queryFn: async () => (await kept<KeptPlan[]>(KEPT)) ?? [],
  });
  return query.data ?? NONE;
}
const NONE: readonly KeptPlan[] = [];

/** Only a plan that casks are fetched for is of use in the aisle. */
async function keepPlan(view: PlanView): Promise<void> {
  const others = ((await kept<KeptPlan[]>(KEPT)) ?? []).filter(
    (one) => one.view.plan.id !== view.plan.id,
  );
  const { status } = view.plan;
  const now =
    status === 'reserved' || status === 'drawing' ? [{ at: new Date().toISOString(), view }] : [];
  await keep(KEPT, [...now, ...others].slice(0, MOST_KEPT));
  await queries.invalidateQueries({ queryKey: [KEPT] });
}

/** `keptAt` is set while the plan comes from this device. */
export function usePlan(id: string): {
  view: PlanView | null;
  keptAt: string | null;
  query: UseQueryResult<PlanView>;
} {
  const query = useApi(api.blends.plan, { params: { id } });
  const items = useOutboxItems();
  const here = useKeptPlans().find(({ view }) => view.plan.id === id);
  const { data, isError } = query;
  useEffect(() => {
    if (data) void keepPlan(data);
  }, [data]);
  const fromHere = isError && here !== undefined;
  const view = fromHere ? here.view : data;
  return {
    view: view ? withWaiting(view, items) : null,
    keptAt: fromHere ? here.at : null,
    query,
  };
}

function withWaiting(view: PlanView, items: readonly OutboxItem[]): PlanView {
  const scans = new Map(
    items.flatMap(({ act, state }) =>
      act.kind === 'plan.scan-out' && act.body.planId === view.plan.id && state === 'waiting'
        ? [[act.body.caskId, act.body.out ? act.happenedAt : null] as const]
        : [],
    ),
  );
  if (scans.size === 0) return view;
  const picks = view.picks.map((pick) => {
    const outAt = scans.get(pick.caskId);
    return outAt === undefined ? pick : { ...pick, outAt };
  });
  return { ...view, picks };
}
