import { monthIndex, monthLabel } from '../calendar.ts';
import type {
  ClimateSource,
  Climatology,
  ClimatologyMonth,
  MonthlyClimate,
  ZoneClimate,
} from '../types.ts';
import { ethanolSaturationPa, waterSaturationPa } from '../vapour-pressure.ts';
import { assumedClimatology, calendarMonth, climatology } from './climatology.ts';

export interface ZoneClimateSources {
  /** the zone's own logger, reduced */
  monthly?: readonly MonthlyClimate[];
  /** loggers of zones near by, nearest first */
  neighbours?: readonly (readonly MonthlyClimate[])[];
  /** outdoor series */
  outdoor?: readonly MonthlyClimate[];
  /** outdoor or indoor typical year, when there is no series */
  normals?: Climatology;
}

/** Temperature swing that a store passes on when nothing was measured inside. Stores are damped;
 * no published constants were found, so a logger's own fit replaces it. */
export const ASSUMED_DAMPING = 0.7;

/**
 * A zone's climate without holes. Months come from its own logger; where that is silent, from
 * neighbours by their usual difference, from outdoors by fitted damping, or from the typical year.
 */
export function zoneClimate(zoneId: string, sources: ZoneClimateSources): ZoneClimate {
  const own = (sources.monthly ?? []).filter((m) => m.coveredShare > 0);
  const neighbours = (sources.neighbours ?? []).map((n) => n.filter((m) => m.coveredShare > 0));
  const outdoor = (sources.outdoor ?? []).filter((m) => m.coveredShare > 0);
  const typical = typicalOf(own, neighbours, outdoor, sources.normals);
  const helpers = [
    ...neighbours.map((series) => ({ series, source: 'neighbour' as const })),
    { series: outdoor, source: 'outdoor-damped' as const },
  ]
    .filter((h) => h.series.length > 0)
    .map(({ series, source }) => ({ fill: fillFrom(series, own, typical), source }));
  const byMonth = new Map(own.map((m) => [m.month, m]));
  const labels = [...own, ...neighbours.flat(), ...outdoor].map((m) => monthIndex(m.month));
  const months: ZoneClimate['months'] = [];
  if (labels.length > 0) {
    const last = Math.max(...labels);
    for (let m = Math.min(...labels); m <= last; m++) {
      const label = monthLabel(m);
      const base = typical.months[m % 12]!;
      let filled: ClimatologyMonth | null = null;
      let source: ClimateSource = 'climatology';
      for (const helper of helpers) {
        filled = helper.fill(label);
        if (filled) {
          source = helper.source;
          break;
        }
      }
      const measured = byMonth.get(label);
      const rest = filled ?? base;
      if (!measured) months.push({ month: label, ...rest, coveredShare: 0, source });
      else {
        months.push({
          month: label,
          ...blend(measured, rest, measured.coveredShare),
          coveredShare: measured.coveredShare,
          source: measured.coveredShare >= 0.3 ? 'logger' : source,
        });
      }
    }
  }
  const seen = months.reduce((sum, m) => sum + m.coveredShare, 0);
  return {
    zoneId,
    climatology: typical,
    months,
    filledShare: months.length > 0 ? 1 - seen / months.length : 1,
  };
}

function typicalOf(
  own: readonly MonthlyClimate[],
  neighbours: readonly (readonly MonthlyClimate[])[],
  outdoor: readonly MonthlyClimate[],
  normals: Climatology | undefined,
): Climatology {
  if (own.length > 0) return climatology(own);
  const near = neighbours.find((n) => n.length > 0);
  if (near) return { ...climatology(near), source: 'neighbour' };
  if (outdoor.length > 0) return damped(climatology(outdoor), ASSUMED_DAMPING);
  return normals ?? assumedClimatology();
}

/** Swing about the year's mean times `share`; vapour pressure as outside, never above saturation. */
export function damped(outdoor: Climatology, share: number): Climatology {
  const mean = outdoor.months.reduce((sum, m) => sum + m.meanTemperatureC, 0) / 12;
  return {
    ...outdoor,
    months: outdoor.months.map((m) => {
      const t = mean + share * (m.meanTemperatureC - mean);
      const saturation = waterSaturationPa(t);
      return {
        meanTemperatureC: t,
        waterSaturationPa: saturation,
        waterVapourPa: Math.min(m.waterVapourPa, 0.98 * saturation),
        ethanolSaturationPa: ethanolSaturationPa(t),
      };
    }),
    yearSpreadC: outdoor.yearSpreadC * share,
    source: 'outdoor-damped',
  };
}

function blend(a: ClimatologyMonth, b: ClimatologyMonth, share: number): ClimatologyMonth {
  const mix = (x: number, y: number): number => share * x + (1 - share) * y;
  return {
    meanTemperatureC: mix(a.meanTemperatureC, b.meanTemperatureC),
    waterSaturationPa: mix(a.waterSaturationPa, b.waterSaturationPa),
    waterVapourPa: mix(a.waterVapourPa, b.waterVapourPa),
    ethanolSaturationPa: mix(a.ethanolSaturationPa, b.ethanolSaturationPa),
  };
}

/**
 * Months of a zone from another series: the zone's typical month plus the fitted share of the other
 * series' departure from *its* typical month (temperature in °C, vapour pressure as a ratio).
 */
function fillFrom(
  series: readonly MonthlyClimate[],
  own: readonly MonthlyClimate[],
  typical: Climatology,
): (label: string) => ClimatologyMonth | null {
  const theirs = climatology(series);
  const byMonth = new Map(series.map((m) => [m.month, m]));
  const shareC = fittedShare(
    own,
    byMonth,
    (m, mine) =>
      m.meanTemperatureC -
      (mine ? typical : theirs).months[calendarMonth(m.month)]!.meanTemperatureC,
  );
  const shareVapour = fittedShare(own, byMonth, (m, mine) =>
    Math.log(
      Math.max(m.waterVapourPa, 1) /
        Math.max((mine ? typical : theirs).months[calendarMonth(m.month)]!.waterVapourPa, 1),
    ),
  );
  return (label) => {
    const m = byMonth.get(label);
    if (!m || m.coveredShare < 0.3) return null;
    const base = typical.months[calendarMonth(label)]!;
    const other = theirs.months[calendarMonth(label)]!;
    const dc = shareC * (m.meanTemperatureC - other.meanTemperatureC);
    const t = base.meanTemperatureC + dc;
    const ratio = Math.exp(
      shareVapour * Math.log(Math.max(m.waterVapourPa, 1) / Math.max(other.waterVapourPa, 1)),
    );
    const lift = waterSaturationPa(t) / waterSaturationPa(base.meanTemperatureC);
    const saturation = base.waterSaturationPa * lift;
    return {
      meanTemperatureC: t,
      waterSaturationPa: saturation,
      waterVapourPa: Math.min(base.waterVapourPa * ratio, 0.995 * saturation),
      ethanolSaturationPa:
        (base.ethanolSaturationPa * ethanolSaturationPa(t)) /
        ethanolSaturationPa(base.meanTemperatureC),
    };
  };
}

/** Regression of own departures on the other series', leaning on the assumed damping. */
function fittedShare(
  own: readonly MonthlyClimate[],
  others: ReadonlyMap<string, MonthlyClimate>,
  departure: (m: MonthlyClimate, mine: boolean) => number,
): number {
  let xy = 0;
  let xx = 0;
  for (const m of own) {
    const other = others.get(m.month);
    if (!other) continue;
    const x = departure(other, false);
    const w = m.coveredShare * other.coveredShare;
    xy += w * x * departure(m, true);
    xx += w * x * x;
  }
  const lean = xx > 0 ? xx / 10 : 1;
  return Math.min(1.2, Math.max(0, (xy + lean * ASSUMED_DAMPING) / (xx + lean)));
}
