import type { BlendChoice } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';
import './chance.css';

const inHundred = (chance: number): string =>
  chance > 0.995
    ? 'nearly always'
    : chance < 0.005
      ? 'hardly ever'
      : `${format.number(chance * 100)} times of 100`;

/** How likely the gauged vat falls within both tolerances, and the water that makes up for what the casks really hold. */
export function ChanceView({ plan }: { plan: BlendChoice }) {
  const { interval, waterLitresAt20C } = plan;
  const canTrim = interval.waterHigh90 > 0;
  return (
    <div className="stack-tight">
      <h3>When the vat is gauged</h3>
      <Chance
        label="within both tolerances with the water as planned"
        chance={interval.chanceAsPlanned}
      />
      {canTrim && (
        <Chance
          label="within both when the water is trimmed to what was really there"
          chance={interval.chanceWithTrim}
        />
      )}
      {canTrim && (
        <p>
          In 90 vats of 100 it takes {format.litres(Math.max(0, interval.waterLow90))} to{' '}
          {format.litres(interval.waterHigh90)} of water to come to just the strength asked for. The
          plan adds {format.litres(waterLitresAt20C)}.
        </p>
      )}
    </div>
  );
}

function Chance({ label, chance }: { label: string; chance: number }) {
  return (
    <div className="chance">
      <strong className="number">{inHundred(chance)}</strong> <span>{label}</span>
      <span className="chance-bar" aria-hidden="true">
        <span style={{ width: `${String(Math.max(1, chance * 100))}%` }} />
      </span>
    </div>
  );
}
