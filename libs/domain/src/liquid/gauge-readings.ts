import { liquidFromVolume, OutOfRangeError } from '@rundlet/alcoholometry';
import type {
  CaskGeometry,
  FigureUncertainties,
  GaugeReadings,
  LiquidFigures,
} from '@rundlet/contracts';
import { gauge } from '@rundlet/gauging';
import { DomainError } from '../errors.ts';
import { kgToMg } from './content.ts';

export interface Gauged {
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly ethanolMg: number;
  readonly waterMg: number;
}

/**
 * Figures at 20 °C of what was read.
 * @throws DomainError `reading-impossible` naming the reading, its range and unit
 */
export function gaugeReadings(
  readings: GaugeReadings,
  vessel: { geometry?: CaskGeometry; capacityLitres?: number | null },
): Gauged {
  try {
    const { bulkLitresAt20C, strengthPercentVol, litresPureAlcohol, uncertainties } = gauge(
      readings,
      vessel,
    );
    const liquid = liquidFromVolume(bulkLitresAt20C, strengthPercentVol);
    return {
      figures: { bulkLitresAt20C, strengthPercentVol, litresPureAlcohol },
      uncertainties: { ...uncertainties },
      ethanolMg: kgToMg(liquid.ethanolKg),
      waterMg: kgToMg(liquid.waterKg),
    };
  } catch (error) {
    if (error instanceof OutOfRangeError || error instanceof RangeError)
      throw new DomainError(
        'reading-impossible',
        error.message,
        { method: readings.method },
        '/body/readings',
      );
    throw error;
  }
}
