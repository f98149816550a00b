import { expect, test } from 'vitest';
import { aisleScreens } from '../aisle/screens.ts';
import { deskScreens } from '../desk/screens.ts';

const screens = [...aisleScreens, ...deskScreens];

test('no two screens share an address or a letter', () => {
  const twice = (values: readonly (string | undefined)[]) =>
    values.filter((value, i) => value !== undefined && values.indexOf(value) !== i);
  expect(twice(screens.map(({ path }) => path))).toEqual([]);
  expect(twice(screens.map(({ menu }) => menu?.key))).toEqual([]);
});
