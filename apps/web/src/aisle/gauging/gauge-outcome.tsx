import { api } from '@rundlet/contracts';
import { useApi } from '../../data/client.ts';
import { Figure, Figures, format, Notice } from '../../kit/kit.ts';
import { suretyWords } from './suspicion-words.ts';

/** What the booked gauge came to, against the forecast that stood before it. */
export function GaugeOutcome({ caskId, gaugeId }: { caskId: string; gaugeId: string }) {
  const card = useApi(api.casks.card, { params: { id: caskId } });
  const gauge = card.data?.gauges.find(({ id }) => id === gaugeId);
  if (!gauge) return null;
  const { expected, figures, verdict, bookBefore, uncertainties, surety } = gauge;
  const change = figures.litresPureAlcohol - bookBefore.litresPureAlcohol;
  return (
    <div className="stack">
      {verdict === 'possible-leak' && (
        <Notice tone="bad" title="Possible leak">
          The cask has lost more than the forecast allows for
          {surety ? `: ${suretyWords(surety)}` : '.'} Look at staves, heads and bung now, and book
          what you find under Inspect.
        </Notice>
      )}
      {verdict === 'possible-blunder' && (
        <Notice tone="caution" title="Doubtful reading">
          The reading does not fit what a cask can do{surety ? `: ${suretyWords(surety)}` : '.'}{' '}
          Read again; a keeper can set this one aside.
        </Notice>
      )}
      {verdict === 'as-expected' && (
        <Notice tone="good" title="As expected">
          The reading lies within the forecast that stood before it.
        </Notice>
      )}
      <p>
        Since the last figures in the book: <strong>{format.signed(change, 2)} LPA</strong>.
      </p>
      <Figures>
        <Figure
          label="Measured"
          value={figures.litresPureAlcohol}
          unit="LPA"
          decimals={2}
          origin="measured"
          plusMinus={uncertainties.litresPureAlcohol}
        />
        {expected && (
          <Figure
            label="Forecast that stood"
            value={expected.litresPureAlcohol}
            unit="LPA"
            decimals={2}
            origin="forecast"
            interval={[expected.low90.litresPureAlcohol, expected.high90.litresPureAlcohol]}
          />
        )}
      </Figures>
    </div>
  );
}
