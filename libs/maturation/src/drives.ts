import { monthIndex } from './calendar.ts';
import { temperatureNode } from './mixture-tables.ts';
import type { ClimatologyMonth, ZoneClimate } from './types.ts';

/** A zone's climate laid out for the integration: measured months, then typical ones for ever. */
export interface Drives {
  firstMonth: number;
  count: number;
  waterPa: Float64Array;
  vapourPa: Float64Array;
  ethanolPa: Float64Array;
  nodeOffset: Int32Array;
  nodeShare: Float64Array;
  celsius: Float64Array;
  /** share of the month the zone's own logger saw */
  logged: Float64Array;
  typical: {
    waterPa: Float64Array;
    vapourPa: Float64Array;
    ethanolPa: Float64Array;
    nodeOffset: Int32Array;
    nodeShare: Float64Array;
    celsius: Float64Array;
  };
  yearSpreadHumidity: number;
  /** ln pressure per single year: from the temperature spread, some 6.5 % per °C */
  yearSpreadLnPressure: number;
}

const LN_PRESSURE_PER_C = 0.065;

function columns(count: number): Drives['typical'] {
  return {
    waterPa: new Float64Array(count),
    vapourPa: new Float64Array(count),
    ethanolPa: new Float64Array(count),
    nodeOffset: new Int32Array(count),
    nodeShare: new Float64Array(count),
    celsius: new Float64Array(count),
  };
}

function put(into: Drives['typical'], i: number, month: ClimatologyMonth): void {
  const { waterSaturationPa, waterVapourPa, ethanolSaturationPa, meanTemperatureC } = month;
  if (!(waterSaturationPa > 0 && ethanolSaturationPa > 0 && waterVapourPa >= 0)) {
    throw new RangeError(
      `vapour pressures must be above 0 Pa: water ${String(waterSaturationPa)}, air ${String(waterVapourPa)}, ethanol ${String(ethanolSaturationPa)}`,
    );
  }
  const node = temperatureNode(meanTemperatureC);
  into.waterPa[i] = waterSaturationPa;
  into.vapourPa[i] = waterVapourPa;
  into.ethanolPa[i] = ethanolSaturationPa;
  into.nodeOffset[i] = node.offset;
  into.nodeShare[i] = node.share;
  into.celsius[i] = meanTemperatureC;
}

export function compileClimate(zone: ZoneClimate): Drives {
  const firstMonth = zone.months.length > 0 ? monthIndex(zone.months[0]!.month) : 0;
  const count = zone.months.length;
  const measured = columns(count);
  const logged = new Float64Array(count);
  zone.months.forEach((month, i) => {
    put(measured, i, month);
    logged[i] = month.source === 'logger' ? month.coveredShare : 0;
  });
  const typical = columns(12);
  if (zone.climatology.months.length !== 12) {
    throw new RangeError(`zone ${zone.zoneId}: a climatology has 12 months, January first`);
  }
  zone.climatology.months.forEach((month, i) => put(typical, i, month));
  return {
    firstMonth,
    count,
    ...measured,
    logged,
    typical,
    yearSpreadHumidity: zone.climatology.yearSpreadHumidity,
    yearSpreadLnPressure: zone.climatology.yearSpreadC * LN_PRESSURE_PER_C,
  };
}

const compiled = new WeakMap<ZoneClimate, Drives>();

/** The compiled form of a zone, kept for as long as the zone object lives. */
export function drivesOf(zone: ZoneClimate): Drives {
  let drives = compiled.get(zone);
  if (!drives) {
    drives = compileClimate(zone);
    compiled.set(zone, drives);
  }
  return drives;
}

/** @throws RangeError when the zone's climate is not given */
export function requireZone(climate: Readonly<Record<string, ZoneClimate>>, id: string): Drives {
  const zone = climate[id];
  if (!zone) {
    throw new RangeError(
      `no climate for zone "${id}"; give every zone one (climatologyFromNormals when there is no logger)`,
    );
  }
  return drivesOf(zone);
}
