import fc from 'fast-check';
import { expect, test } from 'vitest';
import { addYears, civilFromDay, dayNumber, isoDate, monthIndex, monthLabel } from './calendar.ts';

test('day numbers agree with the platform calendar from 1600 to 2400', () => {
  fc.assert(
    fc.property(fc.integer({ min: -135140, max: 157054 }), (day) => {
      const iso = new Date(day * 86400000).toISOString().slice(0, 10);
      expect(isoDate(day)).toBe(iso);
      expect(dayNumber(iso)).toBe(day);
    }),
  );
});

test.each(['2023-02-29', '2024-13-01', '2024-00-10', '2024-4-1', '', '24-01-01'])(
  '"%s" is refused as a date',
  (text) => {
    expect(() => dayNumber(text)).toThrow(RangeError);
  },
);

test('29 February falls on the 28th of a common year', () => {
  expect(addYears('2024-02-29', 1)).toBe('2025-02-28');
  expect(addYears('2024-02-29', 4)).toBe('2028-02-29');
});

test('month labels and indexes are inverse', () => {
  expect(monthLabel(monthIndex('1999-12') + 1)).toBe('2000-01');
  expect(() => monthIndex('2000-13')).toThrow(RangeError);
  expect(civilFromDay(0)).toEqual({ year: 1970, month: 1, day: 1 });
});
