/** What a gauging form holds while it is being filled in, and the readings it makes once complete. */
import type { GaugeReadings } from '@rundlet/contracts';

export type Method = GaugeReadings['method'];
export type StrengthKind = 'hydrometer' | 'densitometer' | 'laboratory';

export interface ReadingsDraft {
  method: Method;
  orientation: 'lying' | 'standing';
  wetDipMm: number | null;
  dryDipMm: number | null;
  grossKg: number | null;
  tareKg: number | null;
  litres: number | null;
  liquidTemperatureC: number | null;
  strengthKind: StrengthKind;
  readingPercentVol: number | null;
  strengthTemperatureC: number | null;
  obscurationPercentVol: number | null;
  densityKgPerM3: number | null;
  laboratoryPercentVol: number | null;
  declaredLitresAt20C: number | null;
  declaredPercentVol: number | null;
}

export const emptyDraft = (start: Partial<ReadingsDraft> = {}): ReadingsDraft => ({
  method: 'dip',
  orientation: 'lying',
  wetDipMm: null,
  dryDipMm: null,
  grossKg: null,
  tareKg: null,
  litres: null,
  liquidTemperatureC: null,
  strengthKind: 'hydrometer',
  readingPercentVol: null,
  strengthTemperatureC: null,
  obscurationPercentVol: null,
  densityKgPerM3: null,
  laboratoryPercentVol: null,
  declaredLitresAt20C: null,
  declaredPercentVol: null,
  ...start,
});

/** The readings as far as they are complete; null while one is missing. */
export function readingsOf(draft: ReadingsDraft): GaugeReadings | null {
  const { method, orientation, liquidTemperatureC } = draft;
  if (method === 'declared') {
    const { declaredLitresAt20C: litres, declaredPercentVol: strength } = draft;
    if (litres === null || strength === null) return null;
    return { method, bulkLitresAt20C: litres, strengthPercentVol: strength };
  }
  const strength = strengthOf(draft);
  if (strength === null || liquidTemperatureC === null) return null;
  const common = { liquidTemperatureC, strength };
  switch (method) {
    case 'dip':
      return draft.wetDipMm === null
        ? null
        : { method, orientation, wetDipMm: draft.wetDipMm, ...common };
    case 'ullage':
      return draft.dryDipMm === null
        ? null
        : { method, orientation, dryDipMm: draft.dryDipMm, ...common };
    case 'weight':
      return draft.grossKg === null || draft.tareKg === null
        ? null
        : { method, grossKg: draft.grossKg, tareKg: draft.tareKg, ...common };
    case 'meter':
      return draft.litres === null ? null : { method, litres: draft.litres, ...common };
  }
}

function strengthOf(
  draft: ReadingsDraft,
): Exclude<GaugeReadings, { method: 'declared' }>['strength'] | null {
  // The sample is read at the liquid's own temperature unless another is given.
  const temperatureC = draft.strengthTemperatureC ?? draft.liquidTemperatureC;
  switch (draft.strengthKind) {
    case 'hydrometer':
      return draft.readingPercentVol === null || temperatureC === null
        ? null
        : {
            kind: 'hydrometer',
            readingPercentVol: draft.readingPercentVol,
            temperatureC,
            ...(draft.obscurationPercentVol === null
              ? {}
              : { obscurationPercentVol: draft.obscurationPercentVol }),
          };
    case 'densitometer':
      return draft.densityKgPerM3 === null || temperatureC === null
        ? null
        : { kind: 'densitometer', densityKgPerM3: draft.densityKgPerM3, temperatureC };
    case 'laboratory':
      return draft.laboratoryPercentVol === null
        ? null
        : { kind: 'laboratory', strengthPercentVol: draft.laboratoryPercentVol };
  }
}

/** Pointers this form shows errors at, under the pointer of the readings themselves. */
export const READING_POINTERS = [
  '',
  '/wetDipMm',
  '/dryDipMm',
  '/grossKg',
  '/tareKg',
  '/litres',
  '/liquidTemperatureC',
  '/bulkLitresAt20C',
  '/strengthPercentVol',
  '/strength/readingPercentVol',
  '/strength/temperatureC',
  '/strength/obscurationPercentVol',
  '/strength/densityKgPerM3',
  '/strength/strengthPercentVol',
] as const;
export const readingPointers = (base = '/readings'): string[] =>
  READING_POINTERS.map((pointer) => base + pointer);
