/** What a gauging form's readings come to while they are typed, and which of them cannot be. */
import { OutOfRangeError } from '@rundlet/alcoholometry';
import { GaugeReadings, type Problem } from '@rundlet/contracts';
import { gauge, type Gauged, type GaugedVessel } from '@rundlet/gauging';
import { useMemo } from 'react';
import { fieldErrors, problemFromIssues, type FieldErrors } from '../../kit/problem.ts';
import { readingsOf, type ReadingsDraft } from './readings-draft.ts';

export interface Live {
  readonly gauged: Gauged | null;
  /** A fault of no single field. */
  readonly message: string | null;
  /** Faults by field, under the readings' own pointer. */
  readonly problem: Problem | null;
}
const NOTHING: Live = { gauged: null, message: null, problem: null };

/** Which field a library means when it names a quantity out of range. */
const FIELD_OF: Record<string, string> = { 'wet dip': 'wetDipMm', 'dry dip': 'dryDipMm' };

/** By the same library that the server books with; empty while readings are missing. */
export function useLiveFigures(draft: ReadingsDraft, vessel: GaugedVessel): Live {
  const { geometry, capacityLitres } = vessel;
  return useMemo(() => {
    const readings = readingsOf(draft);
    if (!readings) return NOTHING;
    const check = GaugeReadings.safeParse(readings);
    if (!check.success) return { ...NOTHING, problem: problemFromIssues(check.error.issues) };
    try {
      return { ...NOTHING, gauged: gauge(readings, { geometry, capacityLitres }) };
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      const field = error instanceof OutOfRangeError ? FIELD_OF[error.quantity] : undefined;
      return field === undefined
        ? { ...NOTHING, message: error.message }
        : { ...NOTHING, problem: problemFromIssues([{ path: [field], message: error.message }]) };
    }
  }, [draft, geometry, capacityLitres]);
}

/** The form's own faults first, then what the server said of the last try. */
export function withLive(errors: FieldErrors, live: Live, base = '/readings'): FieldErrors {
  const own = fieldErrors(live.problem);
  return {
    at: (pointer) =>
      (pointer.startsWith(`${base}/`) ? own.at(pointer.slice(base.length)) : undefined) ??
      errors.at(pointer),
    rest: errors.rest,
  };
}
