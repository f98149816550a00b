import './told.css';
import {
  BOTTLING_FACTS,
  type BottlingFact,
  type BottlingStatement,
  type BottlingStory,
} from '@rundlet/statements';
import { format } from '../kit/kit.ts';
import { Chain } from './chain.tsx';
import { FACT_WORDS } from './fact-words.ts';

/** The way from the plots to the bottle, step under step; each bar is a share of the alcohol. */
export function Story({
  told,
  withheld,
}: {
  told: BottlingStatement['told'];
  withheld?: readonly BottlingFact[];
}) {
  return (
    <>
      <Chain told={told} {...(withheld ? { withheld } : {})} />
      <Steps told={told} />
    </>
  );
}

const LISTED = BOTTLING_FACTS.filter((fact) => fact !== 'ways');

function Steps({ told }: { told: BottlingStatement['told'] }) {
  return (
    <ol className="told-chain">
      {LISTED.filter((fact) => told[fact] !== undefined).map((fact) => (
        <li key={fact}>
          <h2>{FACT_WORDS[fact]}</h2>
          {fact === 'years' ? (
            <Years years={told.years ?? null} />
          ) : fact === 'store-climate' ? (
            <Climate zones={told['store-climate'] ?? []} />
          ) : (
            <Bars shares={told[fact] ?? []} />
          )}
        </li>
      ))}
    </ol>
  );
}

function Bars({ shares }: { shares: readonly { name: string; share: number }[] }) {
  if (shares.length === 0) return <p>No records reach back to this.</p>;
  return (
    <ul className="bare-list">
      {shares.map(({ name, share }) => (
        <li key={name} className="told-share">
          <span>{name}</span>
          <span className="number">{format.percent(share)}</span>
          <span className="told-bar" aria-hidden="true">
            <span style={{ width: `${String(Math.max(1, share * 100))}%` }} />
          </span>
        </li>
      ))}
    </ul>
  );
}

function Years({ years }: { years: BottlingStory['years'] }) {
  if (!years) return <p>No cask is recorded.</p>;
  return (
    <p className="told-years">
      {years.youngest === years.oldest
        ? format.count(years.youngest, 'whole year')
        : `${String(years.youngest)} to ${String(years.oldest)} whole years`}
    </p>
  );
}

function Climate({ zones }: { zones: BottlingStory['store-climate'] }) {
  if (zones.length === 0) return <p>No logger stood there.</p>;
  return (
    <ul className="bare-list">
      {zones.map((zone) => (
        <li key={zone.name} className="told-share">
          <span>{zone.name}</span>
          <span className="number">
            {format.number(zone.meanTemperatureC, 1)} °C,{' '}
            {format.number(zone.meanRelativeHumidityPercent)} % humidity
          </span>
        </li>
      ))}
    </ul>
  );
}
