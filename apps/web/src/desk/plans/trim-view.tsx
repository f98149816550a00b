import { api, useApi } from '../../data/client.ts';
import { Figure, Figures, Loaded, Notice } from '../../kit/kit.ts';

/** The water worked out again from what was really drawn. */
export function TrimView({ planId, drawn, left }: { planId: string; drawn: number; left: number }) {
  const query = useApi(
    api.blends.trim,
    { params: { id: planId } },
    { staleTime: 0, refetchInterval: 10_000 },
  );
  return (
    <Loaded query={query}>
      {(trim) => (
        <div className="stack-tight">
          {left > 0 && (
            <Notice tone="caution">
              Still to draw: {left}. The figures below are for the {drawn} in the vat now.
            </Notice>
          )}
          <Notice tone={trim.reachable ? 'plain' : 'bad'}>{trim.message}</Notice>
          <Figures>
            <Figure
              label="Water"
              value={trim.waterLitresAt20C}
              unit="L at 20 °C"
              origin="calculated"
            />
            <Figure label="or by weight" value={trim.waterKg} unit="kg" origin="calculated" />
            <Figure label="Comes to" value={trim.resultLitresAt20C} unit="L" origin="calculated" />
            <Figure
              label="at"
              value={trim.resultStrengthPercentVol}
              unit="% vol"
              decimals={2}
              origin="calculated"
            />
          </Figures>
        </div>
      )}
    </Loaded>
  );
}
