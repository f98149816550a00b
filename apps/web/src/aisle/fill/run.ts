/** A filling run while it lasts; kept on the device, so that a closed tab or a dead battery does not lose the thread. */
import { useEffect, useState } from 'react';
import { keep, kept } from '../../data/database.ts';

export interface FilledCask {
  caskId: string;
  code: string;
  bulkLitresAt20C: number;
  strengthPercentVol: number;
  litresPureAlcohol: number;
  positionId: string | null;
  place: string | null;
}
export interface FillRun {
  vatId: string;
  /** Pure alcohol in the vat by the book when the run began. */
  startLitresPureAlcohol: number;
  startedAt: string;
  filled: FilledCask[];
  /** Difference booked when the vat was closed, LPA; null while the run is open. */
  closedWith: number | null;
}
const NAME = 'fill-run';

/** The run on this device: undefined while it is being read, null when there is none. */
export function useFillRun(): [FillRun | null | undefined, (run: FillRun | null) => void] {
  const [run, setRun] = useState<FillRun | null | undefined>(undefined);
  useEffect(() => {
    void kept<FillRun | null>(NAME).then((found) => {
      setRun(found ?? null);
    });
  }, []);
  return [
    run,
    (next) => {
      setRun(next);
      void keep(NAME, next);
    },
  ];
}

export const runTotal = (run: FillRun): { litres: number; litresPureAlcohol: number } =>
  run.filled.reduce(
    (sum, cask) => ({
      litres: sum.litres + cask.bulkLitresAt20C,
      litresPureAlcohol: sum.litresPureAlcohol + cask.litresPureAlcohol,
    }),
    { litres: 0, litresPureAlcohol: 0 },
  );
