import { describe, expect, it } from 'vitest';
import { waterPer100Volumes, waterToReduce } from '@rundlet/alcoholometry';
import gayLussac from './gay-lussac-reduction.json' with { type: 'json' };

describe(gayLussac.source, () => {
  it.each(gayLussac.rows)('100 volumes from $from to $to take $waterVolumes of water', (row) => {
    const computed = waterPer100Volumes(row.from, row.to, gayLussac.referenceTemperatureC);
    const tolerance = Math.max(0.03, 0.0025 * row.waterVolumes);
    expect(Math.abs(computed - row.waterVolumes)).toBeLessThanOrEqual(tolerance);
  });

  it('would not agree at 20 °C as it does at 15 °C', () => {
    const squares = (referenceC: number): number =>
      gayLussac.rows.reduce(
        (sum, { from, to, waterVolumes }) =>
          sum + (waterPer100Volumes(from, to, referenceC) / waterVolumes - 1) ** 2,
        0,
      );
    expect(squares(15)).toBeLessThan(squares(20));
  });
});

describe('reduction at 20 °C', () => {
  it('is the same sum in litres and in volumes per hundred', () => {
    const { waterLitresAt20C } = waterToReduce(
      { bulkLitresAt20C: 100, strengthPercentVol: 63.5 },
      40,
    );
    expect(waterLitresAt20C).toBeCloseTo(waterPer100Volumes(63.5, 40, 20), 10);
  });
});
