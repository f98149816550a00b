import type { Random } from './random.ts';
import type { Store } from './stores.ts';

/** Magnus formula over water, Pa (Alduchov & Eskridge 1996): not what the library uses. */
export const magnusPa = (celsius: number): number =>
  610.94 * Math.exp((17.625 * celsius) / (celsius + 243.04));

export interface DailySeries {
  firstDay: number;
  temperatureC: Float64Array;
  /** 0 to 1 */
  humidity: Float64Array;
}

export interface StoreWeather {
  outdoor: DailySeries;
  /** by floor */
  floors: DailySeries[];
}

/** Weather with seasons, day-to-day persistence, single years' character and a slow trend. */
export function simulateWeather(
  store: Store,
  firstDay: number,
  lastDay: number,
  random: Random,
): StoreWeather {
  const days = lastDay - firstDay + 1;
  const series = (): DailySeries => ({
    firstDay,
    temperatureC: new Float64Array(days),
    humidity: new Float64Array(days),
  });
  const outdoor = series();
  const w = store.weather;
  const phase = store.hemisphere === 'north' ? 200 : 17;
  let swing = 0;
  let damp = 0;
  let yearC = random.normal(0, w.yearSdC);
  let yearHumidity = random.normal(0, 0.018);
  for (let i = 0; i < days; i++) {
    if (i % 365 === 0) {
      yearC = 0.3 * yearC + random.normal(0, w.yearSdC * 0.95);
      yearHumidity = 0.3 * yearHumidity + random.normal(0, 0.018);
    }
    swing = 0.75 * swing + random.normal(0, w.dayToDayC * 0.66);
    damp = 0.6 * damp + random.normal(0, 0.06);
    const season = Math.cos((2 * Math.PI * (firstDay + i - phase)) / 365.25);
    outdoor.temperatureC[i] =
      w.meanC + w.swingC * season + swing + yearC + (0.02 * (i - days / 2)) / 365;
    outdoor.humidity[i] = Math.min(
      0.995,
      Math.max(0.12, w.meanHumidity - w.humiditySwing * season + damp + yearHumidity),
    );
  }
  const floors = Array.from({ length: store.floors }, (_, floor) => {
    const inside = series();
    const b = store.indoors;
    let t = w.meanC;
    let e = magnusPa(w.meanC) * w.meanHumidity;
    const warmer = b.warmerPerFloorC * floor + random.normal(0, 0.15);
    const drier = random.normal(0, 0.008);
    for (let i = 0; i < days; i++) {
      const solar = 0.25 * warmer * Math.cos((2 * Math.PI * (firstDay + i - phase)) / 365.25);
      t += (outdoor.temperatureC[i]! + warmer + solar - t) / b.lagDays;
      const outsidePa = magnusPa(outdoor.temperatureC[i]!) * outdoor.humidity[i]!;
      e += (b.shareOfOutdoorVapour * outsidePa - e) / (1 + b.lagDays / 3);
      inside.temperatureC[i] = t;
      const earthFloor = b.damp * (floor === 0 ? 1 : 0.5);
      inside.humidity[i] = Math.min(
        0.985,
        Math.max(0.15, e / magnusPa(t) + earthFloor + drier - b.drierPerFloor * floor * 0.5),
      );
    }
    return inside;
  });
  return { outdoor, floors };
}

/** What the loggers wrote: short, biased, drifting, with gaps. */
export function climateLog(
  store: Store,
  weather: StoreWeather,
  cutoffDay: number,
  isoDay: (day: number) => string,
  random: Random,
): { zone_id: string; date: string; temp_c: number; rh_pct: number | null }[] {
  const rows: { zone_id: string; date: string; temp_c: number; rh_pct: number | null }[] = [];
  const write = (zone: string, from: DailySeries, years: number): void => {
    const biasC = random.normal(0, 0.25);
    const biasHumidity = random.normal(0, 0.015);
    let drift = 0;
    let gapLeft = 0;
    for (let day = cutoffDay - Math.round(years * 365.25); day <= cutoffDay; day++) {
      drift += random.normal(0, 0.0003);
      if (gapLeft === 0 && random.chance(1 / 300)) gapLeft = random.integer(2, 45);
      if (gapLeft > 0) {
        gapLeft--;
        continue;
      }
      const i = day - from.firstDay;
      rows.push({
        zone_id: zone,
        date: isoDay(day),
        temp_c: Math.round((from.temperatureC[i]! + biasC + random.normal(0, 0.1)) * 100) / 100,
        rh_pct: random.chance(0.004)
          ? null
          : Math.round(
              Math.min(
                100,
                100 * (from.humidity[i]! + biasHumidity + drift) + random.normal(0, 0.6),
              ) * 10,
            ) / 10,
      });
    }
  };
  store.sensorFloors.forEach((floor, n) =>
    write(`${store.id}-Z${String(n + 1)}`, weather.floors[floor]!, store.indoorLogYears),
  );
  write('outdoor', weather.outdoor, store.outdoorLogYears);
  return rows;
}
