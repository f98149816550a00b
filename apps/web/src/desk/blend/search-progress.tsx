import { format } from '../../kit/kit.ts';

/** The best plan so far and how far from best it may be, while the search runs. */
export function SearchProgress({ detail }: { detail: Readonly<Record<string, unknown>> }) {
  const { incumbent, bound, gap } = detail;
  if (typeof incumbent !== 'number') return <p>No plan found yet.</p>;
  return (
    <p>
      Best so far {format.number(incumbent, 1)}
      {typeof bound === 'number' && <>, cannot be better than {format.number(bound, 1)}</>}
      {typeof gap === 'number' && <>: within {format.percent(gap, 2)} of best</>}.
    </p>
  );
}
