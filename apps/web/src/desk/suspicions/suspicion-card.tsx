import type { Suspicion } from '@rundlet/contracts';
import { Link } from 'wouter';
import { suretyWords } from '../../aisle/gauging/suspicion-words.ts';
import { useMay } from '../../data/session.tsx';
import { Card, CodeText, Figure, Figures, format, LinkButton, Mark } from '../../kit/kit.ts';
import { JudgeForm } from './judge-form.tsx';

/** One suspicion: what was read, what had been expected, how sure, and what the keeper makes of it. */
export function SuspicionCard({ suspicion }: { suspicion: Suspicion }) {
  const may = useMay();
  const { caskId, caskCode, positionCode, verdict, surety, figures, uncertainties, expected } =
    suspicion;
  const leak = verdict === 'possible-leak';
  return (
    <Card
      title={
        <>
          <Link href={`/casks/${caskId}`}>
            <CodeText code={caskCode} />
          </Link>{' '}
          <Mark tone={leak ? 'bad' : 'caution'}>{leak ? 'possible leak' : 'doubtful reading'}</Mark>
        </>
      }
    >
      <div className="stack">
        <p>
          Gauged on {format.date(suspicion.takenAt)}
          {positionCode && <> at {positionCode}</>}. {surety && suretyWords(surety)}
          {suspicion.keeperVerdict === 'regauge' && (
            <>
              {' '}
              <Mark tone="caution">another reading asked for</Mark>
            </>
          )}
        </p>
        <Figures>
          <Figure
            label="Measured"
            value={figures.bulkLitresAt20C}
            unit="L"
            origin="measured"
            plusMinus={uncertainties.litres}
            extra={format.strength(figures.strengthPercentVol)}
          />
          {expected && (
            <>
              <Figure
                label="Forecast that stood"
                value={expected.bulkLitresAt20C}
                unit="L"
                origin="forecast"
                interval={[expected.low90.bulkLitresAt20C, expected.high90.bulkLitresAt20C]}
                extra={format.strength(expected.strengthPercentVol)}
              />
              <Figure
                label="Difference"
                value={figures.litresPureAlcohol - expected.litresPureAlcohol}
                unit="LPA"
                decimals={2}
                origin="calculated"
              />
            </>
          )}
        </Figures>
        {may('keep') && <JudgeForm suspicion={suspicion} />}
        <div className="line">
          <LinkButton to={`/casks/${caskId}/gauge`} icon="gauge">
            Gauge
          </LinkButton>
          <LinkButton to={`/casks/${caskId}/inspect`} icon="eye">
            Inspect
          </LinkButton>
          <LinkButton to={`/forecast/casks/${caskId}`} icon="chart">
            Forecast
          </LinkButton>
        </div>
      </div>
    </Card>
  );
}
