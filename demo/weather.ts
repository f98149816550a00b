import { dayOf, yearOf, yearPhase } from './calendar.ts';
import { randomStream } from './random.ts';
import { ethanolSaturationPa, waterSaturationPa } from './vapour.ts';

/** How a zone answers the weather outside. */
export interface ZoneNature {
  /** days over which walls and casks smooth the outdoor temperature */
  readonly lagDays: number;
  readonly warmerByC: number;
  /** summer heat under the roof: swing added to the year's, °C */
  readonly roofSwingC: number;
  readonly humidityPercent: number;
  readonly humiditySwingPercent: number;
  /** swing within a day, °C */
  readonly dayNightC: number;
}

/** A zone's true air, by day from `firstDay` on. */
export interface ZoneAir {
  readonly firstDay: number;
  readonly temperatureC: Float64Array;
  readonly humidity: Float64Array;
  readonly waterPa: Float64Array;
  readonly ethanolPa: Float64Array;
}

/** Outdoor daily mean temperature of the invented coast: a mild year, weather that lasts some days, years that differ. */
export function outdoorTemperatureC(seed: string, firstDay: number, days: number): Float64Array {
  const random = randomStream(`${seed}/outdoor`);
  const byYear = new Map<number, number>();
  const spells = new Float64Array(days);
  let spell = 0;
  for (let i = 0; i < days; i++) {
    const day = firstDay + i;
    const year = yearOf(day);
    if (!byYear.has(year)) byYear.set(year, random.normal(0, 0.45));
    spell = 0.78 * spell + random.normal(0, 1.6);
    // Coldest about 25 January.
    const season = -6.1 * Math.cos(2 * Math.PI * (yearPhase(day) - 0.07));
    spells[i] = 10.6 + season + spell + (byYear.get(year) ?? 0);
  }
  return spells;
}

export function zoneAir(
  seed: string,
  name: string,
  nature: ZoneNature,
  firstDay: number,
  outdoorC: Float64Array,
): ZoneAir {
  const random = randomStream(`${seed}/air/${name}`);
  const days = outdoorC.length;
  const air: ZoneAir = {
    firstDay,
    temperatureC: new Float64Array(days),
    humidity: new Float64Array(days),
    waterPa: new Float64Array(days),
    ethanolPa: new Float64Array(days),
  };
  let smooth = 10.6 - 6.1 * Math.cos(2 * Math.PI * (yearPhase(firstDay) - 0.07));
  let damp = 0;
  const byYear = new Map<number, number>();
  for (let i = 0; i < days; i++) {
    const day = firstDay + i;
    const year = yearOf(day);
    if (!byYear.has(year)) byYear.set(year, random.normal(0, 1.2));
    smooth += ((outdoorC[i] ?? smooth) - smooth) / nature.lagDays;
    damp = 0.9 * damp + random.normal(0, 0.9);
    const summer = -Math.cos(2 * Math.PI * (yearPhase(day) - 0.07));
    const temperatureC = smooth + nature.warmerByC + nature.roofSwingC * summer;
    const humidity =
      nature.humidityPercent -
      nature.humiditySwingPercent * summer +
      damp +
      (byYear.get(year) ?? 0);
    air.temperatureC[i] = temperatureC;
    air.humidity[i] = Math.min(99, Math.max(20, humidity)) / 100;
    air.waterPa[i] = waterSaturationPa(temperatureC);
    air.ethanolPa[i] = ethanolSaturationPa(temperatureC);
  }
  return air;
}

export function temperatureOn(air: ZoneAir, day: number): number {
  const t = air.temperatureC[day - air.firstDay];
  if (t === undefined) throw new RangeError(`no weather was made for day ${String(day)}`);
  return t;
}

/** First day for which weather is made: a year before the history, so that the walls have settled. */
export const weatherStart = (historyStart: number): number => dayOf(yearOf(historyStart) - 1, 1, 1);
