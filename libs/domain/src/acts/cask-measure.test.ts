import { expect, test } from 'vitest';
import { day, TestEstate } from '../../../../tests/support/memory-estate.ts';
import { DomainError } from '../errors.ts';

const LENGTHS = { bilgeDiameterMm: 640, headDiameterMm: 540, lengthMm: 860 } as const;

test('a cask measured later is gauged by its new measures, and by its old ones once that is reversed', async () => {
  const e = await new TestEstate().build(1);
  const caskId = e.casks[0] ?? '';
  await e.receive(e.vats[0], e.lots[0], 1000, 68, day(1));
  await e.fill(caskId, e.vats[0], 200, 68, day(1));
  const readings = {
    method: 'dip',
    orientation: 'lying',
    wetDipMm: 520,
    liquidTemperatureC: 20,
    strength: { kind: 'laboratory', strengthPercentVol: 68 },
  } as const;
  const litres = async (on: number) => {
    const { entry } = await e.do('cask.gauge', { caskId, readings }, day(on));
    return (entry.outcome as { figures: { bulkLitresAt20C: number } }).figures.bulkLitresAt20C;
  };
  const before = await litres(2);
  const measured = await e.do(
    'cask.measure',
    {
      caskId,
      geometry: { figure: { fullness: 2.155 }, ...LENGTHS, basis: 'measured' },
      capacityLitres: null,
      tareKg: 52,
    },
    day(3),
  );
  const after = await litres(4);
  // The figure of fullness 2.155 with these lengths holds 251.4 L; 520 of 640 mm wet is 0.886 of it.
  expect(after).toBeGreaterThan(215);
  expect(after).toBeLessThan(226);
  expect(after).not.toBeCloseTo(before, 1);
  await e.do('entry.reverse', { entryId: measured.entry.id, reason: 'wrong cask' }, day(5));
  expect(await litres(6)).toBeCloseTo(before, 6);
});

test.each([
  [
    'a head wider than the bilge',
    { ...LENGTHS, headDiameterMm: 700 },
    null,
    '/body/geometry/headDiameterMm',
  ],
  ['a brim-full volume of another cask', LENGTHS, 500, '/body/capacityLitres'],
])('%s is refused at its field', async (_, lengths, capacityLitres, pointer) => {
  const e = await new TestEstate().build(1);
  const refused = e.do('cask.measure', {
    caskId: e.casks[0] ?? '',
    geometry: { figure: 'spheroid', ...lengths, basis: 'measured' },
    capacityLitres,
    tareKg: null,
  });
  await expect(refused).rejects.toBeInstanceOf(DomainError);
  await expect(refused).rejects.toMatchObject({ code: 'reading-impossible', pointer });
});
