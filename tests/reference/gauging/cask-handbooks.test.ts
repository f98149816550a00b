import { describe, expect, it } from 'vitest';
import {
  capacityByGeneralRule,
  capacityByMeanDiameter,
  capacityLitres,
  CLASSICAL_FIGURES,
  contentsFromDip,
  CUBIC_INCHES_PER_GALLON,
  innerAreaM2,
  LITRES_PER_CUBIC_INCH,
  litresFromGallons,
  lyingShareByQuarterRule,
  meanDiameterMm,
  standingShareByTenthRule,
  typicalGeometry,
  type CaskFigure,
  type CaskGeometry,
} from '@rundlet/gauging';
import capacities from './cask-capacities.json' with { type: 'json' };

/** A cask measured in inches. */
function inches(figure: CaskFigure, bung: number, head: number, length: number): CaskGeometry {
  return {
    figure,
    bilgeDiameterMm: 25.4 * bung,
    headDiameterMm: 25.4 * head,
    lengthMm: 25.4 * length,
  };
}

const gallons = (litres: number, kind: keyof typeof CUBIC_INCHES_PER_GALLON): number =>
  litres / LITRES_PER_CUBIC_INCH / CUBIC_INCHES_PER_GALLON[kind];

describe(capacities.source, () => {
  describe.each(capacities.rows)('head over bung $headOverBung', (row) => {
    it.each(CLASSICAL_FIGURES)('%s', (figure) => {
      // One inch of bung and length scaled up a hundredfold, so that the dimensions are a cask's.
      const litres = capacityLitres(inches(figure, 100, 100 * row.headOverBung, 100));
      const printed = row[figure];
      expect(Math.abs(gallons(litres, 'imperialOld') / 1e6 - printed)).toBeLessThan(0.5e-7);
    });
  });
});

describe('gauging pages of a mechanics’ handbook: bung 32, head 24, length 40 in', () => {
  const cask = inches('spheroid', 32, 24, 40);

  it('has a mean diameter of 29.6 in, well curved', () => {
    expect(meanDiameterMm(cask, 'strong') / 25.4).toBeCloseTo(29.6, 10);
  });

  it('holds 118.80 US gal by the table (99.0 imperial × 1.2), 118.95 by the exact spheroid', () => {
    const exact = gallons(capacityLitres(cask), 'wine');
    expect(exact).toBeCloseTo(118.95, 2);
    expect(Math.abs(exact / 118.8 - 1)).toBeLessThan(0.002);
    expect(
      Math.abs(capacityByMeanDiameter(cask, 'strong') / capacityLitres(cask) - 1),
    ).toBeLessThan(0.003);
  });

  it('lying with 15 and 17 in wet holds 54.759375 and 64.040625 gal of 118.8 by the quarter rule', () => {
    expect(lyingShareByQuarterRule(15 / 32) * 118.8).toBeCloseTo(54.759375, 9);
    expect(lyingShareByQuarterRule(17 / 32) * 118.8).toBeCloseTo(64.040625, 9);
  });

  it('standing with 21 in wet holds 62.667 gal of 118.8 by the tenth rule', () => {
    expect(standingShareByTenthRule(21 / 40) * 118.8).toBeCloseTo(62.667, 9);
  });

  it('has the exact integration within half a percent of the capacity of both rules near half full', () => {
    const capacity = capacityLitres(cask);
    for (const wet of [15, 17]) {
      const litres = contentsFromDip({
        geometry: cask,
        orientation: 'lying',
        wetDipMm: 25.4 * wet,
      });
      expect(Math.abs(litres / capacity - lyingShareByQuarterRule(wet / 32))).toBeLessThan(0.005);
    }
    const litres = contentsFromDip({
      geometry: cask,
      orientation: 'standing',
      wetDipMm: 25.4 * 21,
    });
    expect(Math.abs(litres / capacity - standingShareByTenthRule(21 / 40))).toBeLessThan(0.005);
  });
});

describe('Encyclopædia Britannica, the gauge line: bung 25, head 22, length 32.06 in', () => {
  it('holds 51.60376 ale gal, to 0.012 %', () => {
    // The print lies between the spheroid with the divisor 1077.157 and with 1077.3.
    const ale = gallons(capacityLitres(inches('spheroid', 25, 22, 32.06)), 'ale');
    expect(Math.abs(ale / 51.60376 - 1)).toBeLessThan(0.00012);
  });
});

describe('a treatise on gauging of 18th-century form: the spheroid by gallon divisors', () => {
  it.each([
    ['wine', 231, 882],
    ['ale', 282, 1077],
    ['corn', 268.8, 1026.3],
  ])('%s gallons of %f cubic inches: %f', (_, cubicInches, printed) => {
    const unit = capacityLitres(inches('spheroid', 100, 100, 100)) / 1e6 / LITRES_PER_CUBIC_INCH;
    // (2 D² + d²) L over the divisor, with D = d = L = 1.
    expect(Math.abs(3 / (unit / cubicInches) / printed - 1)).toBeLessThan(0.0005);
  });
});

describe('a US pouring table: 135 gal, bung 34 in, 10 in wet', () => {
  it('leaves about 30.5 gal; the exact spheroid with q = 0.75 has 30.65', () => {
    const cask = inches('spheroid', 34, 0.75 * 34, 40);
    const share =
      contentsFromDip({ geometry: cask, orientation: 'lying', wetDipMm: 254 }) /
      capacityLitres(cask);
    expect(share).toBeCloseTo(0.227, 3);
    expect(135 * share).toBeCloseTo(30.65, 1);
    expect(Math.abs(135 * share - 30.5)).toBeLessThan(0.25);
  });
});

describe('a household cyclopædia’s general rule: 39, 25 and 26', () => {
  it('lies between the spheroid and the cone', () => {
    const general = capacityByGeneralRule(inches('spheroid', 32, 24, 40));
    expect(general).toBeLessThan(capacityLitres(inches('spheroid', 32, 24, 40)));
    expect(general).toBeGreaterThan(capacityLitres(inches('cone', 32, 24, 40)));
    expect(litresFromGallons(118.8, 'wine')).toBeCloseTo(449.71, 1);
  });
});

describe('inner areas per litre of parabolic staves, from chosen dimensions (no published source)', () => {
  it.each([
    [51, 143],
    [127, 106],
    [202, 91],
    [229, 86],
    [249, 84],
    [510, 65],
  ])('%d L: about %d cm²/L', (litres, areaPerLitre) => {
    const perLitre = (1e4 * innerAreaM2(typicalGeometry(litres))) / litres;
    expect(Math.abs(perLitre / areaPerLitre - 1)).toBeLessThan(0.03);
  });
});

describe('volumes that another department of mathematics knows', () => {
  it('a cylinder lying is a circular segment times its length', () => {
    const geometry = inches('cone', 40, 40, 50);
    const R = geometry.bilgeDiameterMm / 2;
    for (const wet of [0.001, 1, 100, 300, R, 600, 1000, 1016 - 1e-3]) {
      const segment =
        R * R * Math.acos((R - wet) / R) - (R - wet) * Math.sqrt(2 * R * wet - wet * wet);
      const litres = contentsFromDip({ geometry, orientation: 'lying', wetDipMm: wet });
      expect(Math.abs(litres - (segment * geometry.lengthMm) / 1e6)).toBeLessThan(1e-9);
    }
  });

  it('liquid that does not reach the heads of a spheroid is the cap of an ellipsoid', () => {
    // x²/a² + (y² + z²)/R² = 1 with a = (L/2)/sqrt(1-q²): a cap of height h is pi a h² (3R - h) / (3R).
    const geometry = inches('spheroid', 32, 24, 40);
    const R = geometry.bilgeDiameterMm / 2;
    const a = geometry.lengthMm / 2 / Math.sqrt(1 - 0.75 ** 2);
    for (const h of [1e-6, 0.1, 5, 50, 101]) {
      const cap = (Math.PI * a * h * h * (3 * R - h)) / (3 * R) / 1e6;
      const litres = contentsFromDip({ geometry, orientation: 'lying', wetDipMm: h });
      expect(Math.abs(litres / cap - 1)).toBeLessThan(1e-10);
    }
  });
});
