import type { LiquidFigures } from '@rundlet/contracts';
import { gauge, type Gauged, type GaugedVessel } from '@rundlet/gauging';
import { useMemo } from 'react';
import { Figure, Figures, format, Notice } from '../../kit/kit.ts';
import { readingsOf, type ReadingsDraft } from './readings-draft.ts';

export type Live = { gauged: Gauged } | { message: string } | null;

/** What the readings come to, by the same library that the server books with. Null while readings are missing. */
export function useLiveFigures(draft: ReadingsDraft, vessel: GaugedVessel): Live {
  const { geometry, capacityLitres } = vessel;
  return useMemo(() => {
    const readings = readingsOf(draft);
    if (!readings) return null;
    try {
      return { gauged: gauge(readings, { geometry, capacityLitres }) };
    } catch (error) {
      if (error instanceof RangeError) return { message: error.message };
      throw error;
    }
  }, [draft, geometry, capacityLitres]);
}

/** Litres at 20 °C, strength and LPA as they come out while the readings go in. */
export function LiveFigures({
  live,
  before,
  beforeWords = 'by the book',
}: {
  live: Live;
  /** What the book says just now, to set the difference beside. */
  before?: LiquidFigures | null;
  beforeWords?: string;
}) {
  if (live && 'message' in live)
    return (
      <Notice tone="bad" live title="A reading is out of range">
        {live.message}.
      </Notice>
    );
  const gauged = live?.gauged;
  const difference = (value: number | undefined, then: number | undefined, decimals: number) =>
    value === undefined || then === undefined
      ? null
      : `${format.signed(value - then, decimals)} on ${format.number(then, decimals)} ${beforeWords}`;
  return (
    <div aria-live="polite">
      <Figures>
        <Figure
          label="Bulk at 20 °C"
          value={gauged?.bulkLitresAt20C}
          unit="L"
          decimals={1}
          origin="calculated"
          plusMinus={gauged?.uncertainties.litres}
          extra={difference(gauged?.bulkLitresAt20C, before?.bulkLitresAt20C, 1)}
        />
        <Figure
          label="Strength at 20 °C"
          value={gauged?.strengthPercentVol}
          unit="% vol"
          decimals={2}
          origin="calculated"
          plusMinus={gauged?.uncertainties.percentVol}
          extra={difference(gauged?.strengthPercentVol, before?.strengthPercentVol, 2)}
        />
        <Figure
          label="Pure alcohol"
          value={gauged?.litresPureAlcohol}
          unit="LPA"
          decimals={2}
          origin="calculated"
          plusMinus={gauged?.uncertainties.litresPureAlcohol}
          extra={difference(gauged?.litresPureAlcohol, before?.litresPureAlcohol, 2)}
        />
      </Figures>
    </div>
  );
}
