import { expect, test } from 'vitest';
import { conflictLead } from './conflict-words.ts';

const conflict = (...enough: (boolean | null)[]) =>
  enough.map((enoughAlone, i) => ({
    wishId: String(i),
    wish: 'a wish',
    relaxation: null,
    enoughAlone,
    relaxed: null,
  }));

/** What the lead promises must hold of each wish under it. */
test.each([
  [[true], /by itself/],
  [[false], /still conflict/],
  [[null], /^This one can’t be met whatever else is asked for.$/],
  [[true, true], /^Without any one of these the others can be met/],
  [[true, false], /where a change is named .* not enough alone/],
  [[true, null], /where a change is named .* not tried/],
  [[false, false], /any one of these is not enough/],
  [[false, null], /not settled/],
  [[null, null], /not settled/],
])('of wishes that are enough alone or not, %j, it says what is so', (enough, words) => {
  expect(conflictLead(conflict(...enough))).toMatch(words);
});
