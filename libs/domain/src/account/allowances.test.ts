import { describe, expect, test } from 'vitest';
import { againstAllowances, estimateDuty, gaugedMgYears } from '../index.ts';

const year = (n: number) => `${String(2000 + n)}-01-01T00:00:00.000Z`;
const line = (at: string, cause: string, ethanolMg: number) => ({ at, cause, ethanolMg });

describe('allowances', () => {
  test('of gauged casks are reckoned on what each held and for how long', () => {
    const lines = [
      line(year(0), 'filled', 1000),
      line(year(2), 'sample', -10),
      line(year(4), 'gauge-difference', -90),
      line(year(5), 'gauge-difference', -20),
    ];
    // 2000 to 2004 are 1461 days, four years of 365.25; 2004 has 366.
    expect(gaugedMgYears(year(0), lines)).toEqual([0, 0, 990 * 4, (900 * 366) / 365.25]);
  });

  test('a gauge taken back leaves the time to the next', () => {
    const lines = [
      line(year(0), 'filled', 1000),
      line(year(4), 'gauge-difference', -90),
      line(year(4), 'gauge-difference', 90),
      line(year(8), 'gauge-difference', -100),
    ];
    expect(gaugedMgYears(year(0), lines)).toEqual([0, 4000, 0, 8000]);
  });

  test('are told with what is above them, for causes that have a rule', () => {
    const against = againstAllowances(
      {
        openingMg: 12_000,
        gaugedMgYears: 8000,
        movements: [
          { cause: 'gauge-difference', ethanolMg: -300, handledMg: 300 },
          { cause: 'filling-difference', ethanolMg: 5, handledMg: 5 },
          { cause: 'filled', ethanolMg: 0, handledMg: 2000 },
          { cause: 'vat-difference', ethanolMg: -50, handledMg: 50 },
        ],
      },
      [
        { cause: 'gauge-difference', percent: 2, of: 'gauged-casks-a-year' },
        { cause: 'filling-difference', percent: 0.5, of: 'filled' },
        { cause: 'sample', percent: 6, of: 'opening-stock-a-year' },
      ],
    );
    expect(against.map(({ lossMg, allowedMg, aboveMg }) => [lossMg, allowedMg, aboveMg])).toEqual([
      [300, 160, 140],
      // A gain is no loss.
      [0, 10, 0],
      [0, 60, 0],
    ]);
  });
});

describe('duty', () => {
  const spirit = { bulkLitresAt20C: 100, strengthPercentVol: 43.19 };
  const terms = { currency: 'EUR', rate: 10, per: 'litre-pure-alcohol' } as const;

  test('is estimated on the strength as the terms round it', () => {
    expect(estimateDuty(spirit, { ...terms, strengthRounding: 'down-to-tenth' })).toMatchObject({
      strengthPercentVol: 43.1,
      amount: expect.closeTo(431, 9) as number,
      currency: 'EUR',
    });
    expect(estimateDuty(spirit, { ...terms, strengthRounding: 'none' }).amount).toBeCloseTo(
      431.9,
      9,
    );
  });

  test('a strength that milligrams leave a little short of a tenth is on it', () => {
    const short = { ...spirit, strengthPercentVol: 63.49999957965192 };
    expect(
      estimateDuty(short, { ...terms, strengthRounding: 'down-to-tenth' }).strengthPercentVol,
    ).toBe(63.5);
  });

  test('a rate a proof gallon is on proof gallons: 100 gallons of 100 proof', () => {
    // 27 CFR 30.11 and 30.51; 100 proof is 50.046 % vol at 20 °C by OIML R 22, 378.54 L at 60 °F are 379.9 L at 20 °C.
    const { amount } = estimateDuty(
      { bulkLitresAt20C: 379.9, strengthPercentVol: 50.046 },
      { ...terms, per: 'proof-gallon', strengthRounding: 'none' },
    );
    expect(amount / 10).toBeCloseTo(100, 0);
  });
});
