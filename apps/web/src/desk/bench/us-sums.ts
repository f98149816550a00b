/** Between the estate's units and those of the American record, and that record's own sums. */
import {
  FORMULA_SOURCES,
  recordBulkProofGallons,
  recordGallonsByVolume,
  recordGallonsByWeight,
  recordVolumeFactor,
  recordWaterByWeight,
  recordWaterPer100Gallons,
  usSpiritFromVolume,
  volumeFromUsSpirit,
} from '@rundlet/alcoholometry';
import {
  benchSum,
  litres,
  LITRES,
  pureAlcohol,
  strength,
  STRENGTH,
  type BenchFigure,
} from './bench-sum.ts';

const NET = { label: 'Net weight', unit: 'lb' } as const;
const PROOF = { label: 'Proof', unit: 'at 60 °F' } as const;
const FROM_PROOF = { label: 'Proof now', unit: 'at 60 °F' } as const;
const TO_PROOF = { label: 'Proof wanted', unit: 'at 60 °F' } as const;
const wineGallons = (value: number, decimals = 2): BenchFigure => ({
  label: 'Wine gallons',
  value,
  unit: 'at 60 °F',
  decimals,
});
const proofGallons = (value: number, decimals = 2): BenchFigure => ({
  label: 'Proof gallons',
  value,
  unit: 'PG',
  decimals,
});

export const usSums = {
  toUs: benchSum({
    label: 'US: from litres and % vol',
    inputs: { bulkLitresAt20C: LITRES, strengthPercentVol: STRENGTH },
    source: FORMULA_SOURCES.usProof,
    work({ bulkLitresAt20C, strengthPercentVol }) {
      const us = usSpiritFromVolume(bulkLitresAt20C, strengthPercentVol);
      return [
        { label: 'Proof', value: us.proof, unit: 'at 60 °F', decimals: 1 },
        wineGallons(us.wineGallonsAt60F),
        proofGallons(us.proofGallons),
      ];
    },
  }),
  fromUs: benchSum({
    label: 'US: from wine gallons and proof',
    inputs: { gallons: { label: 'Wine gallons', unit: 'at 60 °F' }, proof: PROOF },
    source: FORMULA_SOURCES.usProof,
    work({ gallons, proof }) {
      const spirit = volumeFromUsSpirit(gallons, proof);
      return [
        litres('Volume', spirit.bulkLitresAt20C),
        strength('Strength', spirit.strengthPercentVol),
        pureAlcohol(spirit.litresPureAlcohol),
      ];
    },
  }),
  byWeight: benchSum({
    label: 'US record: gallons by weight',
    inputs: { net: NET, proof: PROOF },
    source: FORMULA_SOURCES.usWeights,
    work({ net, proof }) {
      const record = recordGallonsByWeight(net, proof);
      return [
        proofGallons(record.proofGallons, 1),
        wineGallons(record.wineGallons, 1),
        { ...proofGallons(recordBulkProofGallons(net, proof)), note: 'in bulk, to the hundredth' },
      ];
    },
  }),
  byVolume: benchSum({
    label: 'US record: gallons to 60 °F',
    inputs: {
      gallons: { label: 'Gallons as metered', unit: 'gal' },
      proof: PROOF,
      temperatureF: { label: 'at', unit: '°F' },
    },
    source: FORMULA_SOURCES.usVolumeFactor,
    work({ gallons, proof, temperatureF }) {
      const record = recordGallonsByVolume(gallons, proof, temperatureF);
      return [
        wineGallons(record.wineGallons, 1),
        proofGallons(record.proofGallons, 1),
        {
          label: 'Factor',
          value: recordVolumeFactor(proof, temperatureF),
          unit: 'of Table 7',
          decimals: 3,
        },
      ];
    },
  }),
  waterByWeight: benchSum({
    label: 'US record: water by weight',
    inputs: { net: NET, fromProof: FROM_PROOF, toProof: TO_PROOF },
    source: `27 CFR 30.64; ${FORMULA_SOURCES.usWeights}`,
    work: ({ net, fromProof, toProof }) => [
      {
        label: 'Water',
        value: recordWaterByWeight(net, fromProof, toProof),
        unit: 'lb',
        decimals: 2,
      },
    ],
  }),
  waterByVolume: benchSum({
    label: 'US record: water by volume',
    inputs: { fromProof: FROM_PROOF, toProof: TO_PROOF },
    source: FORMULA_SOURCES.usWater,
    work: ({ fromProof, toProof }) => [
      {
        label: 'Water for 100 wine gallons',
        value: recordWaterPer100Gallons(fromProof, toProof),
        unit: 'wine gal',
        decimals: 2,
      },
    ],
  }),
};
