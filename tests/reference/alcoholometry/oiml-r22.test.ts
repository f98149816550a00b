import { describe, expect, it } from 'vitest';
import {
  CARBON_STEEL_VESSEL,
  densityFromStrength,
  densityKgPerM3,
  ethanolDensity20C,
  ipts68FromIts90,
  litresAt20C,
  massFractionFromDensity,
  strengthFromDensity,
  strengthFromMassFraction,
} from '@rundlet/alcoholometry';
import brazil from './brazil-hydrous-ethanol.json' with { type: 'json' };
import byStrength from './density-by-strength-20c.json' with { type: 'json' };
import inpm from './inpm-table-10.json' with { type: 'json' };
import nbs from './nbs-density-by-mass-percent.json' with { type: 'json' };
import tableI from './oiml-r22-table-i.json' with { type: 'json' };
import tableVa from './oiml-r22-table-va.json' with { type: 'json' };
import oiv from './oiv-ma-as312-02-table-i.json' with { type: 'json' };

/** Half a unit of the last printed digit, and room for the doubles on either side of a tie. */
const half = (lastDigit: number): number => lastDigit / 2 + 1e-9;

describe(tableI.source, () => {
  it.each(tableI.rows)('$massPercent % mass at $temperatureC °C: $densityKgPerM3', (row) => {
    const computed = densityKgPerM3(row.massPercent / 100, row.temperatureC);
    expect(Math.abs(computed - row.densityKgPerM3)).toBeLessThanOrEqual(half(0.01));
  });

  it('gives the density of pure ethanol that its errata correct the cover to', () => {
    expect(ethanolDensity20C.toFixed(2)).toBe('789.24');
  });
});

describe(tableVa.source, () => {
  it.each(tableVa.rows)('$densityKgPerM3 kg/m³: $massFraction', (row) => {
    const computed = massFractionFromDensity(row.densityKgPerM3, 20);
    expect(Math.abs(computed - row.massFraction)).toBeLessThanOrEqual(half(0.0001));
  });
});

describe(byStrength.source, () => {
  it.each(byStrength.rows)('$strengthPercentVol % vol: $densityKgPerM3', (row) => {
    const computed = densityFromStrength(row.strengthPercentVol, 20);
    expect(computed.toFixed(2)).toBe(row.densityKgPerM3.toFixed(2));
  });
});

describe(oiv.source, () => {
  // The print has 992.42 and 987.17 at 4 and 8 % vol where the formula gives 992.4138 and 987.1641, one
  // unit high, and 995.2 at 2 % vol without its hundredths: one unit of the last digit given is the bar.
  it.each(oiv.rows)('$strengthPercentVol % vol: $densityKgPerM3', (row) => {
    const computed = densityFromStrength(row.strengthPercentVol, 20);
    const lastDigit = row.strengthPercentVol === 2 ? 0.1 : 0.01;
    expect(Math.abs(computed - row.densityKgPerM3)).toBeLessThan(lastDigit);
  });
});

describe(nbs.source, () => {
  // Another laboratory's measurements: they agree with R 22 to 0.12 kg/m³, not to the last digit.
  it.each(nbs.rows)('$massPercent % mass at $temperatureC °C: $gramsPerCm3', (row) => {
    const computed = densityKgPerM3(row.massPercent / 100, row.temperatureC);
    expect(Math.abs(computed - 1000 * row.gramsPerCm3)).toBeLessThan(0.12);
  });
});

describe(brazil.source, () => {
  // Made with a later formula on today's temperature scale. On that scale R 22 meets its densities within
  // 0.0055 kg/m³ and its strengths within 0.0065 % vol; entered as they are read, within twice that.
  it.each(brazil.rows)('$massPercent % mass at $temperatureC °C', (row) => {
    const t = ipts68FromIts90(row.temperatureC);
    const p = row.massPercent / 100;
    expect(Math.abs(densityKgPerM3(p, row.temperatureC) - row.densityKgPerM3)).toBeLessThan(0.011);
    if (t <= 40) {
      expect(Math.abs(densityKgPerM3(p, t) - row.densityKgPerM3)).toBeLessThan(0.0055);
      const strength = strengthFromDensity(row.densityKgPerM3, t);
      expect(Math.abs(strength - row.strengthPercentVol)).toBeLessThan(0.0065);
    }
    expect(Math.abs(densityKgPerM3(p, ipts68FromIts90(20)) - row.densityAt20C)).toBeLessThan(
      0.0055,
    );
    // Its volume factor holds the growth of a steel tank too.
    const factor = litresAt20C(
      1,
      row.temperatureC,
      strengthFromMassFraction(p),
      CARBON_STEEL_VESSEL,
    );
    expect(Math.abs(factor - row.volumeFactor)).toBeLessThanOrEqual(half(0.0001) + 2e-6);
  });
});

describe(inpm.source, () => {
  it.each(inpm.rows)('$gramsPerCm3 g/cm³ at $temperatureC °C: $massPercent', (row) => {
    const p = massFractionFromDensity(1000 * row.gramsPerCm3, row.temperatureC);
    expect(Math.abs(100 * p - row.massPercent)).toBeLessThan(0.1);
  });
});
