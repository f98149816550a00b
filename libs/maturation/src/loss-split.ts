import type { FillingPosterior, LossSplit } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import type { ForecastOptions } from './forecast.ts';
import { emptyGauged, gaugeContent } from './linearise.ts';
import { ETHANOL_KG_PER_LITRE, litresFromTable } from './mixture-tables.ts';
import { emptyTally, presentSegment, runThrough } from './trace.ts';
import type { ClimateByZone, FillingHistory } from './types.ts';

/**
 * What became of the liquid since it came into the present wood, by cause. Evaporation of water is
 * negative where the cask took water in. `gauge-difference` is what remains between the causes and
 * the content now believed: measuring errors, samples nobody wrote down.
 *
 * @param to a day up to the posterior's own; its day when absent
 * @throws RangeError for a day outside the filling
 */
export function lossSplit(
  posterior: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  request: { to?: string },
  options: ForecastOptions,
): LossSplit {
  const fromDay = dayNumber(posterior.filledOn);
  const asOfDay = dayNumber(posterior.asOf);
  const toDay = Math.min(asOfDay, request.to === undefined ? asOfDay : dayNumber(request.to));
  if (toDay < fromDay) {
    throw new RangeError(
      `filling ${filling.id}: ${isoDate(toDay)} lies before the liquid came into this wood (${posterior.filledOn})`,
    );
  }
  const tally = emptyTally();
  const end = runThrough(
    posterior,
    presentSegment(filling, climate, options.population),
    [toDay],
    tally,
  );
  // every explanation starts from the fill as recorded
  const { fillEthanolKg: startE, fillWaterKg: startW } = posterior.components[0]!.history;
  const settled = toDay === asOfDay;
  const endE = settled ? weighted(posterior, 0) : end[0]!;
  const endW = settled ? weighted(posterior, 1) : end[1]!;
  const middle = emptyGauged();
  gaugeContent((startE + endE) / 2, (startW + endW) / 2, middle);
  const causes: LossSplit['causes'] = (
    [
      ['soakage', tally.soakEthanol, tally.soakWater],
      ['evaporation-ethanol', tally.evaporatedEthanol, 0],
      ['evaporation-water', 0, tally.evaporatedWater],
      ['leak', tally.leakEthanol, tally.leakWater],
      ['withdrawals', tally.drawnEthanol, tally.drawnWater],
      ['top-ups', -tally.addedEthanol, -tally.addedWater],
    ] as const
  ).map(([cause, ethanolKg, waterKg]) => ({
    cause,
    ethanolKg,
    waterKg,
    bulkLitresAt20C: ethanolKg * middle.litresByEthanol + waterKg * middle.litresByWater,
    litresPureAlcohol: ethanolKg / ETHANOL_KG_PER_LITRE,
  }));
  const total = {
    bulkLitresAt20C: litresFromTable(startE, startW) - litresFromTable(endE, endW),
    litresPureAlcohol: (startE - endE) / ETHANOL_KG_PER_LITRE,
  };
  const sum = (value: (c: LossSplit['causes'][number]) => number): number =>
    causes.reduce((s, c) => s + value(c), 0);
  causes.push({
    cause: 'gauge-difference',
    ethanolKg: startE - endE - sum((c) => c.ethanolKg),
    waterKg: startW - endW - sum((c) => c.waterKg),
    // carries the little by which litres do not add, so that the column does
    bulkLitresAt20C: total.bulkLitresAt20C - sum((c) => c.bulkLitresAt20C),
    litresPureAlcohol: total.litresPureAlcohol - sum((c) => c.litresPureAlcohol),
  });
  return { from: posterior.filledOn, to: isoDate(toDay), causes, total };
}

function weighted(posterior: FillingPosterior, k: number): number {
  const total = posterior.components.reduce((s, c) => s + c.weight, 0);
  return posterior.components.reduce((s, c) => s + c.weight * c.mean[k]!, 0) / total;
}
