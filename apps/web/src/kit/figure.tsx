import type { Provenance } from '@rundlet/contracts';
import type { ReactNode } from 'react';
import { number } from './format.ts';
import './figure.css';

export type { Provenance };

/**
 * One figure with where it comes from, by word and by the stroke of the rule beside it. A forecast shows its interval;
 * an assumed or declared figure may say by whom.
 */
export function Figure({
  label,
  value,
  unit,
  decimals = 1,
  origin,
  note,
  interval,
  plusMinus,
  extra,
  large = false,
}: {
  label: string;
  value: number | null | undefined;
  unit: string;
  decimals?: number;
  origin?: Provenance | undefined;
  /** When or by whom: “on 3 Mar 2026”, “cooper’s drawing”. */
  note?: ReactNode;
  /** Ends of the 90 % interval of a forecast. */
  interval?: readonly [number, number] | undefined;
  /** Standard uncertainty of a measured or calculated figure. */
  plusMinus?: number | undefined;
  /** A line of its own under the figure: a difference, a share. */
  extra?: ReactNode;
  large?: boolean;
}) {
  return (
    <div className={large ? 'figure figure-large' : 'figure'}>
      <span className="figure-label">{label}</span>
      <span className="figure-value">
        {number(value, decimals)} <span className="figure-unit">{unit}</span>
      </span>
      {interval && (
        <span className="figure-range">
          90 %: {number(interval[0], decimals)} to {number(interval[1], decimals)} {unit}
        </span>
      )}
      {plusMinus !== undefined && (
        <span className="figure-range">
          ± {number(plusMinus, Math.max(decimals, 1))} {unit}
        </span>
      )}
      {extra && <span className="figure-extra">{extra}</span>}
      {origin && (
        <span className="figure-origin" data-origin={origin}>
          <span>
            {origin}
            {note && <> {note}</>}
          </span>
        </span>
      )}
    </div>
  );
}

export function Figures({ children }: { children: ReactNode }) {
  return <div className="figures">{children}</div>;
}
