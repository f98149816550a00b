import type { Calibration, FillingPosterior } from './answers.ts';
import { dayNumber } from './calendar.ts';
import { calibrate } from './calibrate.ts';
import { reduceClimate } from './climate/reduce.ts';
import { zoneClimate } from './climate/zone-climate.ts';
import { forecastFilling } from './forecast.ts';
import { ethanolSaturationPa, waterSaturationPa } from './vapour-pressure.ts';
import type {
  ClimateByZone,
  FillingEvent,
  FillingHistory,
  MonthlyClimate,
  Quantiles,
  ZoneClimate,
} from './types.ts';

/**
 * The forecast bundle: one warehouse as one JSON object with self-explaining units, for handing a
 * whole store's records to the library and its forecasts back, whatever system they came from.
 */
export interface ForecastBundle {
  warehouse: {
    warehouse_id: string;
    cutoff_date: string;
    horizons_y: number[];
    horizon_dates: Record<string, string>;
    zones: { zone_id: string; sensor_floor: number }[];
  };
  casks: BundleCask[];
  climate: BundleClimateRow[];
}

export interface BundleClimateRow {
  zone_id: string;
  date: string;
  temp_c: number | null;
  rh_pct: number | null;
}

export interface BundleCask {
  cask_id: string;
  capacity_l_nominal: number;
  wood_species: string;
  fill_number: number;
  previous_contents: string;
  orientation: string;
  floor: number;
  zone_id: string;
  parcel_id: string;
  cooper_lot: string;
  fill_date: string;
  fill_bulk_l_20c: number;
  fill_abv_20c_pct: number;
  fill_method: string;
  regauges: {
    date: string;
    method: string;
    bulk_l_20c: number;
    abv_20c_pct: number;
    liquid_temp_c?: number | null;
  }[];
  withdrawals: { date: string; volume_l_20c: number; reason?: string }[];
}

export interface BundleAnswer {
  forecasts: Record<string, string | number>[];
  leaks: { cask_id: string; leak_prob: number; leak_flag: number }[];
  suspects: { cask_id: string; date: string; suspect_prob: number }[];
}

/** Standard uncertainties of a bundle's figures. */
const U = {
  weightLitres: 0.3,
  weightShare: 0.0008,
  dipLitres: 1.25,
  nominalLitres: 1.1,
  strength: 0.11,
};
const REGAUGE_DRAWS_LITRES = 0.2;
/** litres lost to a leak before the last regauge that make it worth a flag */
const LEAK_WORTH_FLAGGING = 3;

/** from this probability on a cask is flagged: a look at it costs less than a leak that runs on */
const FLAGGED_FROM = 0.2;

/** Calibrates on the bundle and answers forecasts, leaks and suspect records. */
export function answerForecastBundle(bundle: ForecastBundle): BundleAnswer {
  const climate = climateOfFloors(bundle);
  const fillings = fillingsOf(bundle);
  return answersOf(bundle, fillings, climate, calibrate(fillings, climate));
}

/** The answer a calibration gives. */
export function answersOf(
  bundle: Pick<ForecastBundle, 'warehouse'>,
  fillings: readonly FillingHistory[],
  climate: ClimateByZone,
  calibration: Calibration,
): BundleAnswer {
  const horizons = bundle.warehouse.horizons_y.map((years) => ({
    years,
    date: bundle.warehouse.horizon_dates[String(years)]!,
  }));
  const answer: BundleAnswer = { forecasts: [], leaks: [], suspects: [] };
  for (const filling of fillings) {
    const posterior = calibration.posteriors[filling.id]!;
    const points = forecastFilling(
      posterior,
      filling,
      climate,
      horizons.map((h) => h.date),
      { population: calibration.population },
    );
    points.forEach((point, i) => {
      answer.forecasts.push({
        cask_id: filling.id,
        horizon_y: horizons[i]!.years,
        ...columns('bulk_l', point.bulk),
        ...columns('abv_pct', point.strength),
        ...columns('lpa_l', point.lpa),
      });
    });
    const probability = costlyLeak(posterior, filling);
    answer.leaks.push({
      cask_id: filling.id,
      leak_prob: probability,
      leak_flag: probability >= FLAGGED_FROM ? 1 : 0,
    });
    for (const r of posterior.regauges) {
      answer.suspects.push({
        cask_id: filling.id,
        date: r.on,
        suspect_prob: accused(r.blunderProbability),
      });
    }
  }
  return answer;
}

const columns = (name: string, q: Quantiles): Record<string, number> => ({
  [`${name}_point`]: q.q50,
  [`${name}_lo80`]: q.q10,
  [`${name}_hi80`]: q.q90,
  [`${name}_lo90`]: q.q05,
  [`${name}_hi90`]: q.q95,
});

/** A record is called suspect only when a blunder is three times likelier than not. */
const accused = (p: number): number => p / (p + 3 * (1 - p));

/** Probability that at least 3 L had leaked by the last regauge. */
function costlyLeak(posterior: FillingPosterior, filling: FillingHistory): number {
  const last = filling.regauges.at(-1);
  if (!last) return 0;
  const lastDay = dayNumber(last.on);
  let sum = 0;
  for (const c of posterior.components) {
    if (c.step && c.step.litres >= LEAK_WORTH_FLAGGING && !c.leak)
      sum += c.weight * c.step.leakShare;
    if (!c.leak) continue;
    const until =
      c.leak.stoppedOn === undefined ? lastDay : Math.min(lastDay, dayNumber(c.leak.stoppedOn));
    const lost = (c.leak.litresPerYear * (until - dayNumber(c.leak.startedOn))) / 365.25;
    if (lost >= LEAK_WORTH_FLAGGING) sum += c.weight;
  }
  return Math.min(1, sum);
}

export function fillingsOf(bundle: ForecastBundle): FillingHistory[] {
  const parcels = new Map<string, { sum: number; n: number }>();
  for (const c of bundle.casks) {
    const p = parcels.get(c.parcel_id) ?? { sum: 0, n: 0 };
    p.sum += c.fill_abv_20c_pct;
    p.n++;
    parcels.set(c.parcel_id, p);
  }
  return bundle.casks.map((c) => {
    const scale = (c.capacity_l_nominal / 200) ** 0.6;
    const parcel = parcels.get(c.parcel_id)!;
    const events: FillingEvent[] = c.withdrawals.map((w) => ({
      on: w.date,
      kind: 'withdrawal',
      bulkLitresAt20C: w.volume_l_20c,
    }));
    return {
      id: c.cask_id,
      zoneId: floorZone(c.floor),
      parcelId: c.parcel_id,
      caskKind: {
        nominalLitres: c.capacity_l_nominal,
        species: c.wood_species,
        fillNumber: c.fill_number,
        previousContents: c.previous_contents,
        cooperLot: c.cooper_lot,
        orientation: c.orientation === 'upright' ? 'upright' : 'on-side',
      },
      filledOn: c.fill_date,
      fill: {
        bulkLitresAt20C: c.fill_bulk_l_20c,
        // casks of a parcel came out of one vat: their mean is the better reading of its strength
        strengthPercentVol: parcel.sum / parcel.n,
        uLitres: c.fill_method === 'nominal' ? U.nominalLitres * scale : U.weightLitres,
        uStrength: Math.hypot(U.strength / Math.sqrt(parcel.n), 0.03),
      },
      regauges: c.regauges
        .map((r): FillingHistory['regauges'][number] => ({
          on: r.date,
          // an impossible figure is a blunder like others: it must not stop the warehouse's answer
          bulkLitresAt20C: Math.max(0, r.bulk_l_20c),
          strengthPercentVol: Math.min(100, Math.max(0, r.abv_20c_pct)),
          uLitres:
            r.method === 'weight'
              ? Math.hypot(U.weightLitres, U.weightShare * r.bulk_l_20c)
              : U.dipLitres * scale,
          uStrength: U.strength,
          method: r.method === 'weight' ? 'weight' : 'dip',
          drawnLitres: REGAUGE_DRAWS_LITRES,
          ...(typeof r.liquid_temp_c === 'number' ? { liquidTemperatureC: r.liquid_temp_c } : {}),
        }))
        .sort((a, b) => (a.on < b.on ? -1 : 1)),
      events,
    };
  });
}

const floorZone = (floor: number): string => `floor ${String(floor)}`;

/** One climate per floor: the sensor's own, or between the nearest sensors below and above. */
export function climateOfFloors(bundle: ForecastBundle): ClimateByZone {
  const rows = new Map<string, BundleClimateRow[]>();
  for (const row of bundle.climate) {
    const list = rows.get(row.zone_id);
    if (list) list.push(row);
    else rows.set(row.zone_id, [row]);
  }
  const reduce = (zone: string): MonthlyClimate[] =>
    reduceClimate(
      (rows.get(zone) ?? []).map((r) => ({
        at: r.date,
        temperatureC: r.temp_c,
        relativeHumidityPercent: r.rh_pct,
      })),
    ).monthly;
  const outdoor = reduce('outdoor');
  const sensors = bundle.warehouse.zones
    .map((z) => ({ floor: z.sensor_floor, monthly: reduce(z.zone_id) }))
    .filter((s) => s.monthly.length > 0)
    .sort((a, b) => a.floor - b.floor);
  const result: Record<string, ZoneClimate> = {};
  for (const floor of new Set(bundle.casks.map((c) => c.floor))) {
    const id = floorZone(floor);
    const below = sensors.findLast((s) => s.floor <= floor);
    const above = sensors.find((s) => s.floor >= floor);
    if (below && below === above) {
      result[id] = zoneClimate(id, { monthly: below.monthly, outdoor });
    } else if (below && above) {
      const share = (floor - below.floor) / (above.floor - below.floor);
      const inner = between(below.monthly, above.monthly, share);
      result[id] = zoneClimate(id, { neighbours: [inner], outdoor });
    } else {
      const near = below ?? above;
      const storeys = near ? floor - near.floor : 0;
      const neighbours = near ? [warmed(near.monthly, storeys * WARMER_PER_STOREY_C)] : [];
      result[id] = zoneClimate(id, { neighbours, outdoor });
    }
  }
  return result;
}

/** Storeys above a sensor are warmer with the same vapour in the air: common practice, no source. */
const WARMER_PER_STOREY_C = 0.8;

function warmed(monthly: readonly MonthlyClimate[], byC: number): MonthlyClimate[] {
  return monthly.map((m) => {
    const t = m.meanTemperatureC + byC;
    const lift = waterSaturationPa(t) / waterSaturationPa(m.meanTemperatureC);
    return {
      ...m,
      meanTemperatureC: t,
      waterSaturationPa: m.waterSaturationPa * lift,
      waterVapourPa: Math.min(m.waterVapourPa, 0.99 * m.waterSaturationPa * lift),
      ethanolSaturationPa:
        (m.ethanolSaturationPa * ethanolSaturationPa(t)) / ethanolSaturationPa(m.meanTemperatureC),
    };
  });
}

function between(
  a: readonly MonthlyClimate[],
  b: readonly MonthlyClimate[],
  share: number,
): MonthlyClimate[] {
  const other = new Map(b.map((m) => [m.month, m]));
  const mix = (x: number, y: number): number => x + share * (y - x);
  return a.flatMap((m) => {
    const o = other.get(m.month);
    if (!o) return [];
    return [
      {
        month: m.month,
        meanTemperatureC: mix(m.meanTemperatureC, o.meanTemperatureC),
        waterSaturationPa: mix(m.waterSaturationPa, o.waterSaturationPa),
        waterVapourPa: mix(m.waterVapourPa, o.waterVapourPa),
        ethanolSaturationPa: mix(m.ethanolSaturationPa, o.ethanolSaturationPa),
        coveredShare: Math.min(m.coveredShare, o.coveredShare),
      },
    ];
  });
}
