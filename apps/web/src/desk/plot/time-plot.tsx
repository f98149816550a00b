import { useEffect, useId, useRef } from 'react';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { useLook } from '../../shell/look.ts';
import {
  drawMarks,
  drawReadings,
  drawStood,
  type Mark,
  type Reading,
  type Stood,
} from './plot-marks.ts';
import './time-plot.css';

/** A line over time; with `band`, the two ends of an interval, drawn as a wash. */
export interface Curve {
  label: string;
  values: readonly (number | null)[];
  /** `main` full strength, `soft` for a second line, `edge` thin ends of an interval. */
  weight: 'main' | 'soft' | 'edge';
  /** Lengths of stroke and gap, to tell lines apart without colour. */
  dash?: number[];
}
export interface Band {
  lower: number;
  upper: number;
  wash: 'wide' | 'narrow';
}

interface TimePlotProps {
  title: string;
  unit: string;
  decimals: number;
  /** Milliseconds since 1970, rising. */
  at: readonly number[];
  curves: readonly Curve[];
  /** Pairs of curves, by their place in `curves`. */
  bands?: readonly Band[];
  readings?: readonly Reading[];
  stood?: readonly Stood[];
  marks?: readonly Mark[];
  /** A level to keep in sight, such as a strength floor. */
  level?: { value: number; label: string } | undefined;
  height?: number;
  /** What the picture says, for those who don't see it. */
  summary: string;
}

/** One picture over time. The cursor reads all curves at once; dragging looks closer, a double click looks at all again. */
export function TimePlot(props: TimePlotProps) {
  const frame = useRef<HTMLDivElement>(null);
  const look = useLook();
  const id = useId();
  useEffect(() => {
    const element = frame.current;
    if (!element) return;
    const plot = new uPlot(options(props, element.clientWidth), data(props), element);
    const observer = new ResizeObserver(() => {
      plot.setSize({ width: element.clientWidth, height: props.height ?? 280 });
    });
    observer.observe(element);
    return () => {
      observer.disconnect();
      plot.destroy();
    };
  }, [props, look]);
  return (
    <figure className="time-plot" aria-describedby={id}>
      <figcaption>
        {props.title}, <span>{props.unit}</span>
      </figcaption>
      <div ref={frame} aria-hidden="true" />
      <p id={id} className="visually-hidden">
        {props.summary}
      </p>
    </figure>
  );
}

const data = ({ at, curves }: TimePlotProps): uPlot.AlignedData =>
  [at.map((ms) => ms / 1000), ...curves.map((c) => [...c.values])] as uPlot.AlignedData;

const WASH = { wide: 0.14, narrow: 0.26 };

function options(
  {
    unit,
    decimals,
    curves,
    bands = [],
    readings = [],
    stood = [],
    marks = [],
    level,
    height = 280,
  }: TimePlotProps,
  width: number,
): uPlot.Options {
  const style = getComputedStyle(document.documentElement);
  const token = (name: string) => style.getPropertyValue(name).trim();
  const [accent, soft, line, ink] = [
    token('--accent'),
    token('--ink-soft'),
    token('--line'),
    token('--ink'),
  ];
  const axis = {
    stroke: soft,
    grid: { stroke: line, width: 1 },
    ticks: { stroke: line, width: 1 },
    font: `12px ${token('--text')}`,
  };
  const stroke = { main: accent, soft, edge: accent };
  return {
    width,
    height,
    cursor: { y: false, points: { size: 7 } },
    legend: { live: true },
    scales: { y: { range: (_, low, high) => rangeOf(low, high, readings, stood, level) } },
    axes: [axis, { ...axis, size: 62 }],
    series: [
      {
        label: 'on',
        value: (_, s) => (s === null ? '–' : new Date(s * 1000).toISOString().slice(0, 10)),
      },
      ...curves.map((c): uPlot.Series => ({
        label: c.label,
        stroke: stroke[c.weight],
        ...(c.dash ? { dash: c.dash } : {}),
        width: c.weight === 'main' ? 2 : c.weight === 'soft' ? 1.5 : 0.5,
        points: { show: false },
        value: (_, v) => (v === null ? '–' : `${v.toFixed(decimals)} ${unit}`),
      })),
    ],
    bands: bands.map((b): uPlot.Band => ({
      series: [b.upper + 1, b.lower + 1],
      fill: withAlpha(accent, WASH[b.wash]),
    })),
    hooks: {
      draw: [
        (u) => {
          drawMarks(u, marks, level, {
            line: soft,
            ink,
            bad: token('--bad'),
            font: token('--text'),
          });
          drawStood(u, stood, soft, token('--sheet'));
          drawReadings(u, readings, { ink, paper: token('--sheet'), bad: token('--bad') });
        },
      ],
    },
  };
}

/** Heights of the picture beyond which a level is left out of it. */
const FAR = 3;

/** Curves, error bars and level all in sight, with a little air. */
function rangeOf(
  low: number | null,
  high: number | null,
  readings: readonly Reading[],
  stood: readonly Stood[],
  level: { value: number } | undefined,
): [number, number] {
  const values = [
    low ?? 0,
    high ?? 1,
    ...readings.flatMap((r) => [r.value - 2 * r.uncertainty, r.value + 2 * r.uncertainty]),
    ...stood.flatMap((s) => [s.low, s.high]),
  ];
  let [from, to] = [Math.min(...values), Math.max(...values)];
  // A level far away would press all else flat; then its word alone is written at the edge.
  if (level && Math.abs(level.value - (from + to) / 2) < FAR * (to - from)) {
    from = Math.min(from, level.value);
    to = Math.max(to, level.value);
  }
  const air = (to - from) * 0.05 || 1;
  return [from - air, to + air];
}

function withAlpha(colour: string, alpha: number): string {
  const n = Number.parseInt(colour.slice(1), 16);
  return colour.startsWith('#') && colour.length === 7
    ? `rgb(${String(n >> 16)} ${String((n >> 8) & 255)} ${String(n & 255)} / ${String(alpha)})`
    : colour;
}
