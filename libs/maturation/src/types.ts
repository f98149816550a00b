/**
 * The plain objects this library takes and gives. All of them survive JSON. Dates are ISO days
 * (`YYYY-MM-DD`); litres are litres of liquid at 20 °C; strength is % vol at 20 °C.
 */

/** One row of a climate logger. `at` is `YYYY-MM-DD`, or a date-time with or without an offset. */
export interface LoggerRow {
  at: string;
  temperatureC: number | null;
  relativeHumidityPercent: number | null;
}

/** Driving terms of one month. Pressures are means of pressures, never pressures of means. */
export interface MonthlyClimate {
  /** `YYYY-MM` */
  month: string;
  meanTemperatureC: number;
  /** mean saturation pressure of water, Pa */
  waterSaturationPa: number;
  /** mean vapour pressure of water in the air, Pa */
  waterVapourPa: number;
  /** mean saturation pressure of pure ethanol, Pa */
  ethanolSaturationPa: number;
  /** share of the month's days that had readings, 0 to 1 */
  coveredShare: number;
}

export type ClimateFindingKind =
  | 'gap'
  | 'overlap'
  | 'duplicate'
  | 'out-of-order'
  | 'clock-change'
  | 'clock-shift'
  | 'fahrenheit'
  | 'swapped-columns'
  | 'humidity-as-fraction'
  | 'stuck-sensor'
  | 'out-of-range'
  | 'unreadable'
  | 'humidity-missing';

/** Something seen in a logger file, and what was done about it. */
export interface ClimateFinding {
  kind: ClimateFindingKind;
  from: string;
  to: string;
  rows: number;
  detail: string;
  action: 'kept' | 'dropped' | 'converted' | 'averaged' | 'left-empty';
}

export interface ClimateReport {
  rowsRead: number;
  rowsUsed: number;
  from: string | null;
  to: string | null;
  /** commonest step between rows, minutes; null when there are fewer than two rows */
  intervalMinutes: number | null;
  daysExpected: number;
  daysCovered: number;
  findings: ClimateFinding[];
}

/** A place's typical year, January first, with the spread of single years about it. */
export interface Climatology {
  months: ClimatologyMonth[];
  /** full or part years the typical year rests on; 0 for normals typed in or assumed */
  years: number;
  /** standard deviation of a single year's mean temperature about the typical year, °C */
  yearSpreadC: number;
  /** the same for the ratio vapour pressure / saturation pressure, as a fraction */
  yearSpreadHumidity: number;
  source: 'logger' | 'neighbour' | 'outdoor-damped' | 'normals' | 'assumed';
}

export interface ClimatologyMonth {
  meanTemperatureC: number;
  waterSaturationPa: number;
  waterVapourPa: number;
  ethanolSaturationPa: number;
}

/** Where a month's driving terms came from. */
export type ClimateSource = 'logger' | 'neighbour' | 'outdoor-damped' | 'climatology' | 'assumed';

/** A zone's climate without holes: any month can be asked of it (before and after by climatology). */
export interface ZoneClimate {
  zoneId: string;
  climatology: Climatology;
  /** consecutive months; `source` says how each was found */
  months: (MonthlyClimate & { source: ClimateSource })[];
  /** share of `months` not from this zone's own logger */
  filledShare: number;
}

export type ClimateByZone = Readonly<Record<string, ZoneClimate>>;

/** What stands in the wood. */
export interface CaskKind {
  /** litres by the kind's name; only used for geometry when nothing was measured */
  nominalLitres: number;
  capacityLitres?: number;
  /** inner wall of the cask, m²; from its geometry, else from the capacity */
  innerAreaM2?: number;
  /** wood, for instance `Quercus alba` */
  species: string;
  /** 1 = first filling of the wood with spirit */
  fillNumber: number;
  /** `none` for new wood, else `bourbon`, `sherry`, `wine` … */
  previousContents: string;
  cooperLot?: string;
  orientation?: 'on-side' | 'upright';
}

export type GaugeMethod = 'dip' | 'ullage' | 'weight' | 'meter' | 'nominal';

/** A filling record with the standard uncertainty of its two figures. */
export interface FillRecord {
  bulkLitresAt20C: number;
  strengthPercentVol: number;
  uLitres: number;
  uStrength: number;
}

/** A regauge as recorded. */
export interface Regauge {
  on: string;
  bulkLitresAt20C: number;
  strengthPercentVol: number;
  /** standard uncertainty of the litres, a lasting bias of this cask's dip included */
  uLitres: number;
  uStrength: number;
  method: GaugeMethod;
  /** the keeper's word on a reading once flagged: `confirmed` = true, `dismissed` = a blunder */
  verdict?: 'confirmed' | 'dismissed';
  /** litres taken out by the gauging itself (hydrometer jar, sample); 0 when absent */
  drawnLitres?: number;
  /** temperature of the liquid when gauged; lets a strength left uncorrected be recognised */
  liquidTemperatureC?: number;
}

export type FillingEvent =
  | { on: string; kind: 'withdrawal'; bulkLitresAt20C: number; uLitres?: number; reason?: string }
  | {
      on: string;
      kind: 'top-up';
      bulkLitresAt20C: number;
      strengthPercentVol: number;
      uLitres?: number;
    }
  | { on: string; kind: 'move'; toZoneId: string; toFloor?: number }
  | { on: string; kind: 're-rack'; caskKind: CaskKind; fill?: FillRecord }
  /** a leak found and stopped on that day */
  | { on: string; kind: 'repair' }
  /** the keeper looked and found it leaking; `since` when that is known */
  | { on: string; kind: 'leak-seen'; since?: string }
  /** the keeper looked and found no leak running */
  | { on: string; kind: 'found-sound' };

/** One filling: what is known of one period of one cask holding spirit. */
export interface FillingHistory {
  id: string;
  /** zone at filling; later moves are events */
  zoneId: string;
  /** storey or tier, 0 = lowest; lets the library learn how storeys differ inside a zone */
  floor?: number;
  parcelId?: string;
  caskKind: CaskKind;
  filledOn: string;
  fill: FillRecord;
  regauges: Regauge[];
  events: FillingEvent[];
}

/** The 5, 10, 50, 90 and 95 % points of what is believed. */
export interface Quantiles {
  q05: number;
  q10: number;
  q50: number;
  q90: number;
  q95: number;
}

export interface ForecastPoint {
  date: string;
  bulk: Quantiles;
  strength: Quantiles;
  lpa: Quantiles;
}

/** Progress of a long calculation; `share` runs from 0 to 1. */
export interface Progress {
  phase: string;
  share: number;
}
