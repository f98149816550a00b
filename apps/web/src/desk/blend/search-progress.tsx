import { Figure, Figures, format } from '../../kit/kit.ts';

const STAGES: Readonly<Record<string, string>> = {
  gathering: 'Gathering the casks',
  forecasting: 'Forecasting the casks to the day of the blend',
  preparing: 'Setting the wishes up',
  relaxing: 'Finding out how good any plan could be',
  searching: 'Searching',
  proving: 'Proving that nothing is better',
  explaining: 'Nothing meets all the wishes: finding out which of them conflict',
  alternatives: 'Looking for other plans to compare',
  asking: 'Asking what a little more would cost',
};

/** The best plan so far and how far from best it may be, while the search runs. */
export function SearchProgress({ detail }: { detail: Readonly<Record<string, unknown>> }) {
  const { stage, incumbent, bound, gap, casks, candidates, unit, seconds, priority, levels } =
    detail;
  const level =
    typeof levels === 'number' && levels > 1 && typeof priority === 'number'
      ? `, aim ${String(priority)} of ${String(levels)}`
      : '';
  return (
    <div className="stack-tight">
      <p>
        {STAGES[String(stage)] ?? 'Starting'}
        {level}
        {typeof candidates === 'number' && <>, {format.count(candidates, 'cask')}</>}
        {typeof seconds === 'number' && <>, {format.number(seconds, 0)} s</>}.
      </p>
      {stage === 'searching' || stage === 'proving' || stage === 'relaxing' ? (
        typeof incumbent === 'number' ? (
          <Figures>
            <Figure label="Best so far" value={incumbent} unit={String(unit)} />
            <Figure
              label="No plan can be better than"
              value={typeof bound === 'number' ? bound : null}
              unit={String(unit)}
            />
            <Figure
              label="At most from best"
              value={typeof gap === 'number' ? gap * 100 : null}
              unit="%"
              decimals={2}
            />
            {typeof casks === 'number' && (
              <Figure label="In the best so far" value={casks} unit="casks" decimals={0} />
            )}
          </Figures>
        ) : (
          <p className="soft">No plan found yet.</p>
        )
      ) : null}
    </div>
  );
}
