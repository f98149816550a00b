import { z } from 'zod';
import { ById, endpoint } from '../endpoint.ts';
import { CalendarDate, Id, Instant, Month, Name } from '../primitives.ts';
import { LiquidFigures } from '../readings.ts';
import { CaskResult, ClimateImport, ExpectedFigures, Gauge, Surety } from '../records.ts';

/** 5, 10, 50, 90 and 95 % quantiles of a forecast figure. */
export const Quantiles = z.strictObject({
  q05: z.number(),
  q10: z.number(),
  q50: z.number(),
  q90: z.number(),
  q95: z.number(),
});
export type Quantiles = z.infer<typeof Quantiles>;
export const ForecastPoint = z.strictObject({
  on: CalendarDate,
  bulkLitresAt20C: Quantiles,
  strengthPercentVol: Quantiles,
  litresPureAlcohol: Quantiles,
});
export type ForecastPoint = z.infer<typeof ForecastPoint>;

export const ForecastQuery = z.strictObject({
  years: z.coerce.number().min(1).max(40).default(10),
  floorPercentVol: z.coerce.number().min(0).max(100).default(40),
  leastLitres: z.coerce.number().min(0).max(10_000).optional(),
});

/** When a floor is crossed; `never` is the chance that it isn't within the horizon. */
export const Crossing = z.strictObject({
  threshold: z.number(),
  unit: z.string(),
  q10: CalendarDate.nullable(),
  q50: CalendarDate.nullable(),
  q90: CalendarDate.nullable(),
  never: z.number(),
  /** Chance that it has been crossed by each day. */
  byDate: z.array(z.strictObject({ on: CalendarDate, probability: z.number() })),
});
export type Crossing = z.infer<typeof Crossing>;

export const FillingForecast = z.strictObject({
  fillingId: Id,
  calibrationId: z.string(),
  calibratedAt: Instant,
  /** How much of the climate behind it was measured rather than filled from a climatology. */
  climateMeasuredShare: z.number(),
  /** From fill to horizon, monthly: before today it is the model's account of the past. */
  points: z.array(ForecastPoint),
  measured: z.array(
    z.strictObject({
      on: CalendarDate,
      bulkLitresAt20C: z.number(),
      strengthPercentVol: z.number(),
      litresPureAlcohol: z.number(),
      uLitres: z.number(),
      uPercentVol: z.number(),
      verdict: z.string(),
    }),
  ),
  /** What had been forecast for each gauge before it was taken. */
  stood: z.array(z.strictObject({ on: CalendarDate, expected: ExpectedFigures })),
  floor: Crossing,
  leastVolume: Crossing.nullable(),
  lossToDate: z.strictObject({
    soakageLitres: z.number(),
    ethanolLitres: z.number(),
    waterLitres: z.number(),
    leakLitres: z.number(),
    samplesLitres: z.number(),
    gaugeDifferenceLitres: z.number(),
  }),
  assumptions: z.array(z.string()),
});
export type FillingForecast = z.infer<typeof FillingForecast>;

/** Which maturing casks are meant: all that meet every wish made. */
export const StockScope = z.strictObject({
  storeId: Id.optional(),
  zoneId: Id.optional(),
  accountId: Id.optional(),
  woodSpecies: z.string().max(120).optional(),
  caskKind: z.string().max(120).optional(),
  previousContents: z.string().max(120).optional(),
  fillNumber: z.coerce.number().int().min(1).optional(),
  filledFrom: CalendarDate.optional(),
  filledTo: CalendarDate.optional(),
  spiritLotId: Id.optional(),
});
export type StockScope = z.infer<typeof StockScope>;

export const StockForecast = z.strictObject({
  casks: z.int(),
  calibrationId: z.string(),
  points: z.array(ForecastPoint),
  belowFloor: z.array(z.strictObject({ on: CalendarDate, expectedCasks: z.number() })),
  assumptions: z.array(z.string()),
});
export type StockForecast = z.infer<typeof StockForecast>;

/** A change to try on a cask, any of it together. */
export const WhatIfChange = z.strictObject({
  name: Name,
  on: CalendarDate,
  toZoneId: Id.optional(),
  /** Re-racked into another cask on that day. */
  toCask: z
    .strictObject({
      nominalLitres: z.number().positive().max(5000),
      woodSpecies: Name,
      previousContents: Name,
      fillNumber: z.int().min(1).max(50),
    })
    .optional(),
});
export type WhatIfChange = z.infer<typeof WhatIfChange>;
/** Futures side by side, the first as things are. */
export const WhatIfAnswer = z.strictObject({
  futures: z.array(z.strictObject({ name: z.string(), points: z.array(ForecastPoint) })),
  assumptions: z.array(z.string()),
});
export type WhatIfAnswer = z.infer<typeof WhatIfAnswer>;

/** An index of what the wood has given, not milligrams: 1 is a year of a first-fill 200 L cask at 15 °C. */
export const WoodContact = z.strictObject({
  points: z.array(
    z.strictObject({ on: CalendarDate, fast: z.number(), slow: z.number(), index: z.number() }),
  ),
  /** Results entered for this filling, with the index on their day, and a line through each measure's. */
  results: z.array(
    CaskResult.pick({ id: true, kind: true, measure: true, value: true, unit: true }).extend({
      on: CalendarDate,
      index: z.number(),
    }),
  ),
  fits: z.array(
    z.strictObject({
      measure: z.string(),
      unit: z.string(),
      results: z.int(),
      /** Null with fewer than three results or none apart. */
      line: z
        .strictObject({
          slope: z.number(),
          intercept: z.number(),
          residualSd: z.number(),
          r2: z.number(),
        })
        .nullable(),
    }),
  ),
  assumptions: z.array(z.string()),
});
export type WoodContact = z.infer<typeof WoodContact>;

export const ClimateDay = z.strictObject({
  on: CalendarDate,
  meanC: z.number(),
  minC: z.number(),
  maxC: z.number(),
  relativeHumidityPercent: z.number(),
});
export const ClimateMonth = z.strictObject({
  month: Month,
  meanC: z.number(),
  relativeHumidityPercent: z.number(),
  measuredShare: z.number(),
});
export const ClimateView = z.strictObject({
  zoneId: Id,
  imports: z.array(ClimateImport),
  days: z.array(ClimateDay),
  months: z.array(ClimateMonth),
  gaps: z.array(z.strictObject({ from: CalendarDate, to: CalendarDate, days: z.int() })),
});
export type ClimateView = z.infer<typeof ClimateView>;

export const ClimateImportReport = z.strictObject({
  rowsRead: z.int(),
  rowsAccepted: z.int(),
  rejected: z.array(z.strictObject({ line: z.int(), reason: z.string() })),
  rejectedCount: z.int(),
  remarks: z.array(z.string()),
  firstAt: Instant.nullable(),
  lastAt: Instant.nullable(),
  days: z.int(),
  applied: z.boolean(),
});
export type ClimateImportReport = z.infer<typeof ClimateImportReport>;

export const RegaugeSuggestion = z.strictObject({
  caskId: Id,
  caskCode: z.string(),
  positionCode: z.string().nullable(),
  walkOrder: z.int().nullable(),
  lastGaugedAt: Instant,
  doubtLitresPureAlcohol: z.number(),
  doubtRemovedLitresPureAlcohol: z.number(),
  reason: z.string(),
});

/** A cask whose latest gauge looks like a leak or a blunder and on which no keeper has had the last word. */
export const Suspicion = z.strictObject({
  caskId: Id,
  caskCode: z.string(),
  positionCode: z.string().nullable(),
  gaugeId: Id,
  takenAt: Instant,
  verdict: z.enum(['possible-leak', 'possible-blunder']),
  surety: Surety.nullable(),
  keeperVerdict: Gauge.shape.keeperVerdict,
  figures: LiquidFigures,
  uncertainties: Gauge.shape.uncertainties,
  expected: ExpectedFigures.nullable(),
});
export type Suspicion = z.infer<typeof Suspicion>;

const RegaugeQuery = z.strictObject({
  storeId: Id.optional(),
  /** Only the casks of this plan, so that the doubt about its blend falls most. */
  planId: Id.optional(),
  count: z.coerce.number().int().min(1).max(200).default(20),
});
const RegaugeRound = z.strictObject({ rows: z.array(RegaugeSuggestion) });

/** Long work asked after: its answer, or how far it is (0 to 1; null while that can't be told). */
export const soon = <T extends z.ZodType>(answer: T) =>
  z.strictObject({
    answer: answer.nullable(),
    share: z.number().min(0).max(1).nullable(),
    casks: z.int().nullable(),
  });

export const maturationApi = {
  suspicions: endpoint({
    method: 'GET',
    path: '/api/suspicions',
    summary: 'Casks suspected of a leak or a blundered reading, for a keeper to judge',
    access: 'read',
    query: z.strictObject({ storeId: Id.optional() }),
    response: z.strictObject({ rows: z.array(Suspicion) }),
  }),
  filling: endpoint({
    method: 'GET',
    path: '/api/casks/:id/forecast',
    summary: 'A cask’s forecast with intervals',
    access: 'read',
    params: ById,
    query: ForecastQuery,
    response: FillingForecast,
  }),
  whatIf: endpoint({
    method: 'POST',
    path: '/api/casks/:id/what-if',
    summary: 'A cask’s future as things are and under changes, side by side; nothing is written',
    access: 'read',
    params: ById,
    body: z.strictObject({
      years: z.number().min(1).max(40).default(10),
      changes: z.array(WhatIfChange).max(6),
    }),
    response: WhatIfAnswer,
  }),
  woodContact: endpoint({
    method: 'GET',
    path: '/api/casks/:id/wood-contact',
    summary: 'Index of what the wood has given and will give, with its assumptions',
    access: 'read',
    params: ById,
    query: ForecastQuery.pick({ years: true }),
    response: WoodContact,
  }),
  stock: endpoint({
    method: 'GET',
    path: '/api/stock-forecast',
    summary: 'Forecast of a store, zone, account, parcel, any filter or the whole stock',
    access: 'read',
    query: ForecastQuery.omit({ leastLitres: true }).extend(StockScope.shape),
    response: StockForecast,
  }),
  lossRates: endpoint({
    method: 'GET',
    path: '/api/loss-rates',
    summary: 'What each cask of a store has lost a year, from fill to its latest gauge',
    access: 'read',
    query: z.strictObject({ storeId: Id }),
    response: z.strictObject({
      rows: z.array(
        z.strictObject({
          caskId: Id,
          /** % of the original pure alcohol a year; null while too young or not gauged since the fill. */
          percentPerYear: z.number().nullable(),
        }),
      ),
    }),
  }),
  stockSoon: endpoint({
    method: 'GET',
    path: '/api/stock-forecast/soon',
    summary: 'The same forecast without a long wait: how far it is until it is there',
    access: 'read',
    query: ForecastQuery.omit({ leastLitres: true }).extend(StockScope.shape),
    response: soon(StockForecast),
  }),
  stockWhatIf: endpoint({
    method: 'POST',
    path: '/api/stock-what-if',
    summary: 'A parcel’s future as things are and under changes; how far it is until it is there',
    access: 'read',
    body: z.strictObject({
      scope: StockScope,
      years: z.number().min(1).max(40).default(10),
      changes: z.array(WhatIfChange).max(6),
    }),
    response: soon(WhatIfAnswer.extend({ casks: z.int() })),
  }),
  regauge: endpoint({
    method: 'GET',
    path: '/api/regauge-suggestions',
    summary: 'Which casks to gauge next so that the doubt falls most',
    access: 'read',
    query: RegaugeQuery,
    response: RegaugeRound,
  }),
  regaugeSoon: endpoint({
    method: 'GET',
    path: '/api/regauge-suggestions/soon',
    summary: 'The same without a long wait: how far it is until it is there',
    access: 'read',
    query: RegaugeQuery,
    response: soon(RegaugeRound),
  }),
  climate: endpoint({
    method: 'GET',
    path: '/api/zones/:id/climate',
    summary: 'A zone’s logged climate, by day and month, with its gaps',
    access: 'read',
    params: ById,
    query: z.strictObject({ from: CalendarDate.optional(), to: CalendarDate.optional() }),
    response: ClimateView,
  }),
  importClimate: endpoint({
    method: 'POST',
    path: '/api/zones/:id/climate',
    summary:
      'Import logger CSV (time, temperature, relative humidity); rehearse first with apply=false',
    access: 'warehouse',
    params: ById,
    body: z.strictObject({
      actId: Id,
      logger: z.string().min(1).max(120),
      csv: z.string().min(1).max(20_000_000),
      apply: z.boolean(),
    }),
    response: ClimateImportReport,
  }),
  calibration: endpoint({
    method: 'GET',
    path: '/api/calibration',
    summary: 'The calibration in force',
    access: 'read',
    response: z.strictObject({
      id: z.string(),
      madeAt: Instant.nullable(),
      fillings: z.int(),
      regauges: z.int(),
      jobId: Id.nullable(),
      population: z.record(z.string(), z.unknown()),
    }),
  }),
  calibrate: endpoint({
    method: 'POST',
    path: '/api/calibration',
    summary: 'Learn again from all regauges (a job)',
    access: 'blend',
    response: z.strictObject({ jobId: Id }),
  }),
};
