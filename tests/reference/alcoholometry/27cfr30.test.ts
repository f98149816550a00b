import { describe, expect, it } from 'vitest';
import {
  obscurationFromResidue,
  parseGridTable,
  poundsPerProofGallon,
  poundsPerWineGallon,
  proofFromHydrometer,
  proofFromStrength,
  proofGallonsFromLitresPureAlcohol,
  proofGallonsPerPound,
  proofMethodForSolids,
  recordBulkProofGallons,
  recordComposition,
  recordGallonsByParts,
  recordGallonsByVolume,
  recordGallonsByWeight,
  recordProofFromSpecificGravity,
  recordTrueProof,
  recordVolumeFactor,
  recordWaterByWeight,
  recordWaterPer100Gallons,
  recordWeightOfGallons,
  roundHalfUp,
  strengthFromProof,
  TABLE_1_SAMPLE,
  TABLE_6_CORRECTIONS,
  TABLE_7_CORRECTIONS,
  usSpiritFromVolume,
  volumeFactorTo60F,
  volumeFromUsSpirit,
  WATER_POUNDS_PER_WINE_GALLON,
  wineGallonsPerPound,
  wineGallonsPerPoundHeavierThanWater,
} from '@rundlet/alcoholometry';
import table1 from './27cfr30-table-1.json' with { type: 'json' };
import table2 from './27cfr30-table-2.json' with { type: 'json' };
import table4 from './27cfr30-table-4.json' with { type: 'json' };
import table5 from './27cfr30-table-5.json' with { type: 'json' };
import table6 from './27cfr30-table-6.json' with { type: 'json' };
import table7 from './27cfr30-table-7.json' with { type: 'json' };

describe(table1.source, () => {
  it('is carried cell for cell', () => {
    expect(TABLE_1_SAMPLE.columns).toEqual(table1.temperaturesF);
    expect(TABLE_1_SAMPLE.rows).toEqual(table1.rows.map((row) => row.reading));
    expect(TABLE_1_SAMPLE.cells).toEqual(table1.rows.map((row) => row.trueProof));
  });

  // The formula rests on newer densities than the table: how near it comes, warm and cold.
  const cells = table1.rows.flatMap(({ reading, trueProof }) =>
    trueProof.flatMap((printed, j) =>
      printed === null ? [] : [{ reading, temperatureF: table1.temperaturesF[j] ?? NaN, printed }],
    ),
  );
  it.each(cells.filter((cell) => cell.temperatureF >= 50))(
    'by formula, $reading at $temperatureF °F is near $printed',
    ({ reading, temperatureF, printed }) => {
      expect(Math.abs(proofFromHydrometer(reading, temperatureF) - printed)).toBeLessThan(0.14);
    },
  );
  it.each(cells.filter((cell) => cell.temperatureF < 50))(
    'by formula, $reading at $temperatureF °F drifts from $printed',
    ({ reading, temperatureF, printed }) => {
      expect(Math.abs(proofFromHydrometer(reading, temperatureF) - printed)).toBeLessThan(0.25);
    },
  );
});

describe(table2.source, () => {
  it.each(table2.rows)('$pounds lb at $proof proof', (row) => {
    const { wineGallons, proofGallons } = recordGallonsByWeight(row.pounds, row.proof);
    expect(wineGallons).toBe(row.wineGallons);
    if ('proofGallons' in row) expect(proofGallons).toBe(row.proofGallons);
  });
});

describe(table4.source, () => {
  it.each(table4.rows)('$proof proof', (row) => {
    expect(wineGallonsPerPound(row.proof)).toBe(row.wineGallonsPerPound);
    expect(proofGallonsPerPound(row.proof)).toBe(row.proofGallonsPerPound);
  });
});

/** Cells of Table 5 that its own other column and Table 6 contradict. */
const TABLE_5_MISPRINTS = [
  {
    proof: 68,
    found: [7.9926, 11.58348],
    is: [7.9981, 11.76191],
    because: 'it repeats the row of 69',
  },
  { proof: 80, found: [7.93614, 9.90768], is: [7.92614, 9.90768], because: '9.90768 × 0.80' },
  { proof: 87, found: [7.87878, 9.05605], is: [7.87876, 9.05605], because: '9.05605 × 0.87' },
];

describe(table5.source, () => {
  it.each(table5.rows)('$proof proof', (row) => {
    const misprint = TABLE_5_MISPRINTS.find(({ proof }) => proof === row.proof);
    if (misprint)
      expect([row.poundsPerWineGallon, row.poundsPerProofGallon]).toEqual(misprint.found);
    const [wine, proof] = misprint?.is ?? [row.poundsPerWineGallon, row.poundsPerProofGallon];
    expect(poundsPerWineGallon(row.proof)).toBe(wine);
    if (proof !== null && misprint?.proof !== 68)
      expect(poundsPerProofGallon(row.proof)).toBe(proof);
  });
});

describe(table6.source, () => {
  const columns = {
    alcohol: 'alcoholVolumes',
    water: 'waterVolumes',
    sgAir: 'specificGravityInAir',
    sgVacuum: 'specificGravityInVacuum',
  } as const;
  it.each(table6.rows)('$proof proof', (row) => {
    const computed = recordComposition(row.proof);
    for (const [column, key] of Object.entries(columns)) {
      const printed = row[column as keyof typeof columns];
      const correction = TABLE_6_CORRECTIONS.find(
        (c) => c.proof === row.proof && c.column === column,
      );
      if (correction) expect(printed).toBe(correction.found);
      expect(computed[key]).toBe(correction?.is ?? printed);
    }
    expect(recordProofFromSpecificGravity(computed.specificGravityInAir)).toBeCloseTo(row.proof, 9);
  });

  it('adds up: the specific gravities of its alcohol and its water make its own, 0.01 volume', () => {
    const { specificGravityInVacuum: ethanol } = recordComposition(200);
    for (const { proof } of table6.rows) {
      const { alcoholVolumes, waterVolumes, specificGravityInVacuum } = recordComposition(proof);
      const water = 100 * specificGravityInVacuum - alcoholVolumes * ethanol;
      expect(Math.abs(water - waterVolumes)).toBeLessThan(0.01);
    }
  });
});

describe(table7.source, () => {
  const cells = table7.rows.flatMap(({ proof, factors }) =>
    factors.flatMap((printed, j) =>
      printed === null ? [] : [{ proof, temperatureF: table7.temperaturesF[j] ?? NaN, printed }],
    ),
  );
  it(`has its ${cells.length} cells, but for the corrected ones`, () => {
    expect(cells.length).toBe(852);
    for (const { proof, temperatureF, printed } of cells) {
      const correction = TABLE_7_CORRECTIONS.find(
        (c) => c.proof === proof && c.temperatureF === temperatureF,
      );
      if (correction) expect(printed).toBe(correction.found);
      expect(recordVolumeFactor(proof, temperatureF)).toBe(correction?.is ?? printed);
    }
  });

  it('agrees with the densities of OIML R 22 within 0.0008 in every cell kept', () => {
    for (const { proof, temperatureF } of cells) {
      const difference =
        volumeFactorTo60F(proof, temperatureF) - recordVolumeFactor(proof, temperatureF);
      expect(Math.abs(difference)).toBeLessThan(0.0008);
    }
  });

  it('refuses frozen cells and names what is printed', () => {
    expect(() => recordVolumeFactor(0, 30)).toThrow(/temperature 30 is outside 40 to 100 °F/);
  });
});

describe('27 CFR 30, worked examples', () => {
  const aboutTheExample = parseGridTable(`reading,72,73,75
192,189.1,188.9,
193,190.2,,189.5`);

  it('30.23: 192.82 at 72.15 °F is 190.0 proof, by 189.1 + 0.902 - 0.03', () => {
    expect(recordTrueProof(aboutTheExample, 192.85 - 0.03, 72.1 + 0.05)).toBe(190);
  });

  it('30.61: 193 at 75 °F is 189.5 proof', () => {
    expect(recordTrueProof(aboutTheExample, 193, 75)).toBe(189.5);
  });

  it('30.32(b): 0.125 g from 25 mL hide 2.0 degrees, and only between 80 and 100 proof', () => {
    expect(obscurationFromResidue(0.125, 90)).toBe(2);
    expect(() => obscurationFromResidue(0.125, 101)).toThrow(/outside 80 to 100 proof/);
  });

  it('30.31: solids decide the method', () => {
    expect([400, 401, 600, 601].map(proofMethodForSolids)).toEqual([
      'hydrometer',
      'hydrometer-and-obscuration',
      'hydrometer-and-obscuration',
      'distillation',
    ]);
  });

  // Printed 66.12 for 66 lb 2 oz: the same column rounds 13 lb 10 oz and 67 lb 10 oz up, so 66.13.
  it.each([
    [190, 1, 6, 13, 6.81, 1.9],
    [190, 2, 13, 10, 13.63, 3.8],
    [190, 5, 34, 0, 34, 9.5],
    [190, 10, 68, 0, 68, 19],
    [192, 1, 6, 13, 6.81, 1.9],
    [192, 2, 13, 9, 13.56, 3.8],
    [192, 5, 33, 13, 33.81, 9.6],
    [192, 10, 67, 10, 67.63, 19.2],
    [200, 1, 6, 10, 6.63, 2],
    [200, 2, 13, 4, 13.25, 4],
    [200, 5, 33, 1, 33.06, 10],
    [200, 10, 66, 2, 66.13, 20],
  ])(
    '30.44(b): at %d proof, %d wine gal',
    (proof, gallons, pounds, ounces, decimal, proofGallons) => {
      expect(recordWeightOfGallons(gallons, proof)).toEqual({
        pounds,
        ounces,
        poundsDecimal: decimal,
      });
      expect(roundHalfUp((gallons * proof) / 100, 1)).toBe(proofGallons);
    },
  );

  it('30.51: wine gallons × proof / 100, brought to 60 °F by Table 7', () => {
    expect(recordGallonsByVolume(1000, 112, 60)).toEqual({ wineGallons: 1000, proofGallons: 1120 });
    expect(recordGallonsByVolume(1000, 100, 80)).toEqual({ wineGallons: 991, proofGallons: 991 });
  });

  it('30.63: 321.5 lb at 86 proof are 32.7 + 2.2 + 0.1 + 0.1 = 35.1 proof gal, 40.8 wine gal', () => {
    expect([300, 20, 1, 0.5].map((lb) => recordGallonsByParts(lb, 86).proofGallons)).toEqual([
      32.7, 2.2, 0.1, 0.1,
    ]);
    expect(recordGallonsByParts(321.5, 86)).toEqual({ proofGallons: 35.1, wineGallons: 40.8 });
  });

  it('30.64: 1,000 lb at 200 proof hold 302.58 proof gal; 82.03 lb of water bring them to 190', () => {
    expect(recordBulkProofGallons(1000, 200)).toBe(302.58);
    expect(recordWaterByWeight(1000, 200, 190)).toBe(82.03);
  });

  it('30.65: 100 proof gal at 190 proof weigh 357.6 lb', () => {
    expect(poundsPerProofGallon(190)).toBe(3.57597);
    expect(roundHalfUp(poundsPerProofGallon(190) * 100, 1)).toBe(357.6);
  });

  it('30.66: 112 to 100 proof takes 12.42 wine gal of water per 100; Table 6 holds 53.73 at 100', () => {
    expect(recordWaterPer100Gallons(112, 100)).toBe(12.42);
    const { alcoholVolumes, waterVolumes } = recordComposition(100);
    expect(alcoholVolumes + waterVolumes - 100).toBeCloseTo(3.73, 9);
  });

  it('30.41: heavier than water, 0.120074 over the specific gravity; 21.161: 8.32823 lb of water', () => {
    expect(wineGallonsPerPoundHeavierThanWater(1.1)).toBeCloseTo(0.109158, 6);
    expect(1 / WATER_POUNDS_PER_WINE_GALLON).toBeCloseTo(0.120074, 6);
  });

  it('30.64: 1,000 lb of absolute alcohol, stated in litres of pure alcohol at 20 °C, are 302.58 proof gal', () => {
    // Weighed in air (1.2 kg/m³, brass of 8000 kg/m³); OIML R 22 has 789.24 kg/m³ for ethanol at 20 °C.
    const kg = (1000 * 0.45359237 * (1 - 1.2 / 8000)) / (1 - 1.2 / 789.24);
    expect(proofGallonsFromLitresPureAlcohol(kg / 0.78924)).toBeCloseTo(302.58, 1);
  });

  it.each([5, 40, 62.5, 96])(
    '30.11: at %d % vol, by litres of pure alcohol as by gallons and proof',
    (strength) => {
      const { proofGallons } = usSpiritFromVolume(1000, strength);
      expect(proofGallonsFromLitresPureAlcohol(10 * strength)).toBeCloseTo(proofGallons, 6);
    },
  );

  it('30.11: proof spirits weigh what half a volume of alcohol of specific gravity 0.7939 asks for', () => {
    const wineGallon = volumeFromUsSpirit(1, 100);
    expect(wineGallon.bulkLitresAt20C).toBeCloseTo(3.7854 * 1.0035, 2);
    const back = usSpiritFromVolume(wineGallon.bulkLitresAt20C, wineGallon.strengthPercentVol);
    expect(back.proofGallons).toBeCloseTo(1, 12);
    expect(proofFromStrength(strengthFromProof(86.4))).toBeCloseTo(86.4, 10);
    // The regulation prints 0.7939; OIML R 22 has 0.79382 for its ethanol.
    expect(recordComposition(200).specificGravityInVacuum).toBe(0.79389);
  });
});
