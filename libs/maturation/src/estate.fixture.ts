import { climatologyFromNormals } from './climate/climatology.ts';
import { zoneClimate } from './climate/zone-climate.ts';
import type { CaskKind, ClimateByZone, FillingHistory, Regauge } from './types.ts';

/** A small invented estate for tests: two zones, one kind of cask. */
const seasons = [4.4, 4.1, 5.6, 7.2, 10.4, 13.3, 14.9, 14.4, 12.1, 9.5, 7.1, 4.5];

export const CLIMATE: ClimateByZone = {
  ground: zoneClimate('ground', {
    normals: climatologyFromNormals({
      meanTemperatureC: seasons,
      relativeHumidityPercent: new Array<number>(12).fill(80),
    }),
  }),
  loft: zoneClimate('loft', {
    normals: climatologyFromNormals({
      meanTemperatureC: seasons.map((t) => t + 5),
      relativeHumidityPercent: new Array<number>(12).fill(60),
    }),
  }),
};

export const REFILL: CaskKind = {
  nominalLitres: 200,
  species: 'Quercus alba',
  fillNumber: 2,
  previousContents: 'bourbon',
  cooperLot: 'K1',
};

export function fillingOf(id: string, changes: Partial<FillingHistory> = {}): FillingHistory {
  return {
    id,
    zoneId: 'ground',
    caskKind: REFILL,
    filledOn: '2014-03-01',
    fill: { bulkLitresAt20C: 196, strengthPercentVol: 63.5, uLitres: 0.3, uStrength: 0.1 },
    regauges: [],
    events: [],
    ...changes,
  };
}

export function regauge(
  on: string,
  bulkLitresAt20C: number,
  strengthPercentVol: number,
  changes: Partial<Regauge> = {},
): Regauge {
  return {
    on,
    bulkLitresAt20C,
    strengthPercentVol,
    uLitres: 1.25,
    uStrength: 0.11,
    method: 'dip',
    ...changes,
  };
}

/** Ten casks gauged twice, as such casks are; a model for the estate to learn from. */
export function gaugedEstate(): FillingHistory[] {
  return Array.from({ length: 10 }, (_, i) => {
    const more = (i - 4.5) * 0.9;
    return fillingOf(`gauged-${String(i)}`, {
      regauges: [
        regauge('2018-03-01', 184 - more, 62.2 - more * 0.05),
        regauge('2022-03-01', 174 - 2 * more, 60.9 - more * 0.1),
      ],
    });
  });
}
