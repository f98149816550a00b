import './told.css';
import type { BottlingFact, BottlingStatement } from '@rundlet/statements';
import { format } from '../kit/kit.ts';
import { barHeight, chainLayout, WIDTH, type Band, type Strip } from './chain-layout.ts';
import { FACT_WORDS } from './fact-words.ts';

/** About how wide a letter is, in the picture's own units. */
const LETTER = 6.4;

/** The chain as one picture. The same names and shares stand in the lists below it, in the same order. */
export function Chain({
  told,
  withheld = [],
}: {
  told: BottlingStatement['told'];
  withheld?: readonly BottlingFact[];
}) {
  const { steps, bands, height } = chainLayout(told, withheld);
  if (!steps.some((step) => step.fact !== 'bottle' && step.strips.length > 0)) return null;
  return (
    <figure className="told-picture">
      <svg
        viewBox={`0 -2 ${String(WIDTH)} ${String(height + 4)}`}
        role="img"
        aria-label={`From ${steps.map((step) => titleOf(step.fact).toLowerCase()).join(' to ')}: ${steps
          .filter((step) => step.fact !== 'bottle')
          .map((step) =>
            step.withheld
              ? `${titleOf(step.fact)} withheld`
              : `${titleOf(step.fact)} ${step.strips.map(({ name, share }) => `${name} ${format.percent(share, 0)}`).join(', ') || 'not recorded'}`,
          )
          .join('; ')}.`}
      >
        {bands.map((band, i) => (
          <path key={i} className="told-band" d={pathOf(band)} />
        ))}
        {steps.map((step) => (
          <g key={step.fact}>
            <text className="told-step" x={0} y={step.top - 6}>
              {titleOf(step.fact)}
              {step.withheld && ' (withheld by the estate)'}
              {!step.withheld && step.strips.length === 0 && ' (no records)'}
            </text>
            {step.strips.length === 0 ? (
              <rect
                className="told-nothing"
                x={1}
                y={step.top}
                width={WIDTH - 2}
                height={barHeight}
              />
            ) : (
              step.strips.map((strip) => (
                <g key={strip.name}>
                  <rect
                    className="told-strip"
                    x={strip.x + 0.75}
                    y={step.top}
                    width={Math.max(0.5, strip.width - 1.5)}
                    height={barHeight}
                  />
                  <text className="told-name" x={strip.x + 7} y={step.top + barHeight / 2 + 4}>
                    {step.fact === 'bottle' ? 'All of it' : shortened(strip)}
                  </text>
                </g>
              ))
            )}
          </g>
        ))}
      </svg>
      <figcaption className="soft small">
        Each strip is as wide as its share of the alcohol in the bottle. Strips too narrow for a
        name are named in the lists below, in the same order.
      </figcaption>
    </figure>
  );
}

const titleOf = (fact: BottlingFact | 'bottle'): string =>
  fact === 'bottle' ? 'Blended and bottled' : FACT_WORDS[fact];

function shortened({ name, width }: Strip): string {
  const letters = Math.floor((width - 14) / LETTER);
  if (letters < 4) return '';
  return name.length <= letters ? name : `${name.slice(0, letters - 1)}…`;
}

function pathOf({ x0, y0, x1, y1, width }: Band): string {
  const n = (value: number): string => value.toFixed(2);
  const middle = n((y0 + y1) / 2);
  const curve = (from: number, to: number, y: number): string =>
    `C${n(from)} ${middle} ${n(to)} ${middle} ${n(to)} ${n(y)}`;
  return `M${n(x0)} ${n(y0)}${curve(x0, x1, y1)}H${n(x1 + width)}${curve(x1 + width, x0 + width, y0)}Z`;
}
