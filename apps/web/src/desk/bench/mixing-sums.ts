/** Reducing, mixing and topping up. */
import {
  additionToReach,
  FORMULA_SOURCES,
  mixSpirits,
  spiritAndWaterFor,
  topUp,
  waterLitres,
  waterToReduce,
  type Mixture,
} from '@rundlet/alcoholometry';
import {
  benchSum,
  contraction,
  kilograms,
  litres,
  LITRES,
  pureAlcohol,
  strength,
  STRENGTH,
} from './bench-sum.ts';

const outcome = (mixture: Mixture) => [
  litres('Comes to', mixture.bulkLitresAt20C),
  strength('at', mixture.strengthPercentVol),
  pureAlcohol(mixture.litresPureAlcohol),
  contraction(mixture.contractionLitres),
];

export const mixingSums = {
  reduce: benchSum({
    label: 'Water to reduce',
    inputs: {
      bulkLitresAt20C: LITRES,
      strengthPercentVol: STRENGTH,
      target: { label: 'Strength wanted', unit: '% vol' },
      waterC: {
        label: 'Water’s temperature',
        unit: '°C',
        hint: 'For its litres; empty for 20',
        optional: true,
      },
    },
    source: FORMULA_SOURCES.reduction,
    work({ target, waterC, ...spirit }) {
      const r = waterToReduce(spirit, target);
      return [
        kilograms('Water by weight', r.waterKg),
        {
          label: 'or by meter',
          value: waterLitres(r.waterKg, waterC ?? 20),
          unit: `L at ${String(waterC ?? 20)} °C`,
          decimals: 2,
        },
        litres('Comes to', r.resultLitresAt20C),
        contraction(r.contractionLitres),
      ];
    },
  }),
  recipe: benchSum({
    label: 'Spirit and water for a volume',
    inputs: {
      bulkLitresAt20C: { label: 'Wanted', unit: 'L at 20 °C' },
      strengthPercentVol: { label: 'at', unit: '% vol' },
      spirit: { label: 'From spirit of', unit: '% vol' },
    },
    source: FORMULA_SOURCES.reduction,
    work({ spirit, ...wanted }) {
      const r = spiritAndWaterFor(wanted, spirit);
      return [
        litres('Spirit', r.spiritLitresAt20C),
        kilograms('Water by weight', r.waterKg),
        litres('or by meter', r.waterLitresAt20C),
        contraction(r.contractionLitres),
      ];
    },
  }),
  mix: benchSum({
    label: 'Mix two spirits',
    inputs: {
      litresA: { label: 'First spirit', unit: 'L at 20 °C' },
      strengthA: { label: 'its strength', unit: '% vol' },
      litresB: { label: 'Second spirit', unit: 'L at 20 °C' },
      strengthB: { label: 'its strength', unit: '% vol' },
    },
    source: FORMULA_SOURCES.mixing,
    work: (v) =>
      outcome(
        mixSpirits(
          { bulkLitresAt20C: v.litresA, strengthPercentVol: v.strengthA },
          { bulkLitresAt20C: v.litresB, strengthPercentVol: v.strengthB },
        ),
      ),
  }),
  raise: benchSum({
    label: 'Spirit to reach a strength',
    inputs: {
      bulkLitresAt20C: LITRES,
      strengthPercentVol: STRENGTH,
      added: { label: 'Added spirit', unit: '% vol', hint: '0 is water' },
      target: { label: 'Strength wanted', unit: '% vol' },
    },
    source: FORMULA_SOURCES.mixing,
    work({ added, target, ...spirit }) {
      const r = additionToReach(spirit, added, target);
      return [
        litres('To add', r.addedLitresAt20C),
        kilograms('or by weight', r.addedKg),
        ...outcome(r.result),
      ];
    },
  }),
  topUp: benchSum({
    label: 'Top up to a volume',
    inputs: {
      bulkLitresAt20C: LITRES,
      strengthPercentVol: STRENGTH,
      added: { label: 'Added spirit', unit: '% vol' },
      upTo: { label: 'Up to', unit: 'L at 20 °C' },
    },
    source: FORMULA_SOURCES.mixing,
    work({ added, upTo, ...spirit }) {
      const r = topUp(spirit, added, upTo);
      return [
        litres('To add', r.addedLitresAt20C),
        kilograms('or by weight', r.addedKg),
        ...outcome(r.result),
      ];
    },
  }),
};
