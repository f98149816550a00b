import {
  liquidFromVolume,
  strengthFromHydrometer,
  TEMPERATURE_RANGE,
} from '@rundlet/alcoholometry';
import { dayNumber } from './calendar.ts';
import { requireZone } from './drives.ts';
import { vesselOf, type Vessel } from './geometry.ts';
import { SOAK_LITRES_PER_M2 } from './priors.ts';
import type { LiquidEvent, Stay } from './steps.ts';
import type {
  CaskKind,
  ClimateByZone,
  FillingEvent,
  FillingHistory,
  FillRecord,
  Regauge,
} from './types.ts';

/** A reading as the filter wants it. */
export interface Reading {
  index: number;
  day: number;
  on: string;
  litres: number;
  strength: number;
  uLitres: number;
  uStrength: number;
  dip: boolean;
  verdict: 'open' | 'confirmed' | 'dismissed';
  /** what the strength would be off by had it been read at the liquid's temperature and left so */
  uncorrected: number | null;
}

/**
 * The part of a filling between two changes of wood. A filling that was never re-racked has one.
 */
export interface Segment {
  fromDay: number;
  /** day the liquid left this wood, or the day of the latest evidence */
  toDay: number;
  caskKind: CaskKind;
  vessel: Vessel;
  soakLitres: number;
  /** names of the groups this cask belongs to, site first */
  groups: string[];
  zoneIds: string[];
  /** zone and floor groups of each stay */
  placeGroups: string[][];
  stays: Stay[];
  events: LiquidEvent[];
  readings: Reading[];
  repairDays: number[];
  /** what the keeper saw when looking for a leak */
  inspections: Inspection[];
}

export interface Inspection {
  day: number;
  leaking: boolean;
  sinceDay: number | null;
}

export interface PreparedFilling {
  id: string;
  fill: FillRecord;
  segments: Segment[];
  asOfDay: number;
  zoneId: string;
  floor: number | null;
}

const SIZES = [75, 160, 235, 350, 700, 2000] as const;

/** A zone whose climate was not measured in it may be further off. */
export function zoneGroup(
  climate: ClimateByZone,
  zoneId: string,
  floor: number | undefined,
): string[] {
  const logged = climate[zoneId]?.climatology.source === 'logger';
  const zone = `${logged ? 'zone' : 'blind-zone'}:${zoneId}`;
  return floor === undefined ? [zone] : [zone, `floor:${zoneId}/${String(floor)}`];
}

/** Groups of the hierarchy: site → zone → kind × fill → lot. */
export function groupsOf(kind: CaskKind, places: readonly string[]): string[] {
  const size = SIZES.find((s) => kind.nominalLitres <= s) ?? 'more';
  const fill = kind.fillNumber <= 1 ? '1' : kind.fillNumber === 2 ? '2' : '3+';
  const groups = [
    'site',
    ...places,
    `species:${kind.species}`,
    `previous:${kind.previousContents}`,
    `fill:${fill}`,
    `size:${String(size)}`,
    `orientation:${kind.orientation ?? 'unknown'}`,
    `kind:${String(size)}/${kind.species}/${kind.previousContents}/${fill}`,
  ];
  if (kind.cooperLot !== undefined) groups.push(`lot:${kind.cooperLot}`);
  return groups;
}

function checkLiquid(what: string, litres: number, strength: number): void {
  if (!(litres >= 0 && litres <= 100000)) {
    throw new RangeError(`${what}: ${String(litres)} L lies outside 0 to 100 000 L`);
  }
  if (!(strength >= 0 && strength <= 100)) {
    throw new RangeError(`${what}: ${String(strength)} % vol lies outside 0 to 100 % vol`);
  }
}

function checkUncertainty(what: string, u: number, unit: string): void {
  if (!(u > 0 && u < 1e5)) {
    throw new RangeError(`${what}: standard uncertainty ${String(u)} ${unit} must be above 0`);
  }
}

/**
 * Reads a filling into segments: sorted, checked, with the climate of every stay.
 * @throws RangeError for impossible figures, dates before filling, or a zone without climate
 */
export function prepareFilling(filling: FillingHistory, climate: ClimateByZone): PreparedFilling {
  const where = `filling ${filling.id}`;
  const filledDay = dayNumber(filling.filledOn);
  const { fill } = filling;
  checkLiquid(`${where}, fill record`, fill.bulkLitresAt20C, fill.strengthPercentVol);
  checkUncertainty(`${where}, fill record`, fill.uLitres, 'L');
  checkUncertainty(`${where}, fill record`, fill.uStrength, '% vol');
  if (!(fill.bulkLitresAt20C > 0)) throw new RangeError(`${where}: filled with 0 L`);
  const happenings = filling.events
    .map((event) => ({ event, day: dayNumber(event.on) }))
    .sort((a, b) => a.day - b.day);
  const readings = filling.regauges
    .map((r, i): Reading => toReading(r, i, where))
    .sort((a, b) => a.day - b.day);
  const asOfDay = Math.max(filledDay, happenings.at(-1)?.day ?? 0, readings.at(-1)?.day ?? 0);
  for (const day of [happenings[0]?.day, readings[0]?.day]) {
    if (day !== undefined && day < filledDay) {
      throw new RangeError(`${where}: a record is dated before the filling on ${filling.filledOn}`);
    }
  }
  let zoneId = filling.zoneId;
  let floor = filling.floor;
  const open = (kind: CaskKind, fromDay: number): Segment => {
    const vessel = vesselOf(kind);
    const perM2 = kind.fillNumber <= 1 ? SOAK_LITRES_PER_M2.first : SOAK_LITRES_PER_M2.later;
    return {
      fromDay,
      toDay: asOfDay,
      caskKind: kind,
      vessel,
      soakLitres: perM2 * vessel.innerAreaM2,
      groups: groupsOf(kind, zoneGroup(climate, zoneId, floor)),
      zoneIds: [zoneId],
      placeGroups: [zoneGroup(climate, zoneId, floor)],
      stays: [{ fromDay, drives: requireZone(climate, zoneId), shift: [0, 0, 0] }],
      events: [],
      readings: [],
      repairDays: [],
      inspections: [],
    };
  };
  let segment = open(filling.caskKind, filledDay);
  const segments = [segment];
  let next = 0;
  const takeReadings = (untilDay: number): void => {
    while (next < readings.length && readings[next]!.day <= untilDay) {
      const reading = readings[next++]!;
      segment.readings.push(reading);
      const drawn = filling.regauges[reading.index]!.drawnLitres ?? 0;
      if (drawn > 0)
        segment.events.push({ day: reading.day, drawnLitres: drawn, ethanolKg: 0, waterKg: 0 });
    }
  };
  for (const { event, day } of happenings) {
    takeReadings(day);
    switch (event.kind) {
      case 'withdrawal':
      case 'top-up':
        segment.events.push(liquidEvent(event, day, where));
        break;
      case 'move': {
        zoneId = event.toZoneId;
        floor = event.toFloor;
        segment.zoneIds.push(zoneId);
        segment.stays.push({
          fromDay: day,
          drives: requireZone(climate, zoneId),
          shift: [0, 0, 0],
        });
        segment.placeGroups.push(zoneGroup(climate, zoneId, floor));
        break;
      }
      case 'repair':
        segment.repairDays.push(day);
        break;
      case 'leak-seen': {
        const sinceDay = event.since === undefined ? null : dayNumber(event.since);
        if (sinceDay !== null && (sinceDay > day || sinceDay < filledDay)) {
          throw new RangeError(
            `${where}: a leak seen on ${event.on} cannot run since ${event.since!}; give a day from the filling on`,
          );
        }
        segment.inspections.push({ day, leaking: true, sinceDay });
        break;
      }
      case 'found-sound':
        segment.inspections.push({ day, leaking: false, sinceDay: null });
        break;
      case 're-rack':
        segment.toDay = day;
        segment = open(event.caskKind, day);
        if (event.fill) segment.readings.push(fillReading(event.fill, event.on, day));
        segments.push(segment);
    }
  }
  takeReadings(Infinity);
  return { id: filling.id, fill, segments, asOfDay, zoneId, floor: floor ?? null };
}

export const isPlace = (group: string): boolean => /^(zone|blind-zone|floor):/.test(group);

function toReading(r: Regauge, index: number, where: string): Reading {
  const what = `${where}, regauge of ${r.on}`;
  checkLiquid(what, r.bulkLitresAt20C, r.strengthPercentVol);
  checkUncertainty(what, r.uLitres, 'L');
  checkUncertainty(what, r.uStrength, '% vol');
  return {
    index,
    day: dayNumber(r.on),
    on: r.on,
    litres: r.bulkLitresAt20C,
    strength: r.strengthPercentVol,
    uLitres: r.uLitres,
    uStrength: r.uStrength,
    dip: r.method === 'dip' || r.method === 'ullage',
    verdict: r.verdict ?? 'open',
    uncorrected: uncorrectedShift(r.strengthPercentVol, r.liquidTemperatureC),
  };
}

/** a reading this near to 20 °C is right either way, °C */
const NEAR_20C = 1.5;

function uncorrectedShift(reading: number, liquidC: number | undefined): number | null {
  if (liquidC === undefined || Math.abs(liquidC - 20) < NEAR_20C) return null;
  if (liquidC < TEMPERATURE_RANGE.min || liquidC > TEMPERATURE_RANGE.max) return null;
  try {
    return reading - strengthFromHydrometer({ readingPercentVol: reading, temperatureC: liquidC });
  } catch (error) {
    // no liquid gives that reading at that temperature: then it is no uncorrected one either
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function fillReading(fill: FillRecord, on: string, day: number): Reading {
  return {
    index: -1,
    day,
    on,
    litres: fill.bulkLitresAt20C,
    strength: fill.strengthPercentVol,
    uLitres: fill.uLitres,
    uStrength: fill.uStrength,
    dip: false,
    verdict: 'confirmed',
    uncorrected: null,
  };
}

function liquidEvent(
  event: Extract<FillingEvent, { kind: 'withdrawal' | 'top-up' }>,
  day: number,
  where: string,
): LiquidEvent {
  const strength = event.kind === 'top-up' ? event.strengthPercentVol : 0;
  checkLiquid(`${where}, ${event.kind} of ${event.on}`, event.bulkLitresAt20C, strength);
  if (event.kind === 'withdrawal') {
    return { day, drawnLitres: event.bulkLitresAt20C, ethanolKg: 0, waterKg: 0 };
  }
  const added = liquidFromVolume(event.bulkLitresAt20C, strength);
  return { day, drawnLitres: 0, ethanolKg: added.ethanolKg, waterKg: added.waterKg };
}
