import { TERMS_SETTING, type AccountTerms } from '@rundlet/contracts';
import { monthAfter, monthsBetween } from '@rundlet/domain';
import { dateOf, dayOfDate } from '../calendar.ts';
import type { World } from '../world.ts';

/** Invented for the story, like the estate: no authority's figures. */
const TERMS: AccountTerms = {
  unit: 'litres-pure-alcohol',
  allowances: [
    { cause: 'gauge-difference', percent: 2.5, of: 'gauged-casks-a-year' },
    { cause: 'filling-difference', percent: 0.5, of: 'filled' },
    { cause: 'vat-difference', percent: 0.3, of: 'disgorged' },
  ],
  duty: {
    currency: 'GBP',
    rate: 30,
    per: 'litre-pure-alcohol',
    strengthRounding: 'down-to-tenth',
  },
  reference: 'Invented for Harrow Point, which does not exist. Check with your authority.',
};
/** The month before last is left for whoever looks at the demo to close. */
const LEFT_OPEN_DAYS = 31;
const CLOSED_ON = '-06';

/** The terms of the account, and each month's close on the sixth of the next. */
export function planBooks(world: World): void {
  const from = dateOf(world.firstDay);
  world.agenda.on(world.firstDay, () => {
    world.act('setting.set', { key: TERMS_SETTING, value: TERMS, effectiveFrom: from });
  });
  for (const month of monthsBetween(from.slice(0, 7), dateOf(world.lastDay).slice(0, 7))) {
    const day = dayOfDate(monthAfter(month) + CLOSED_ON);
    if (day > world.lastDay - LEFT_OPEN_DAYS) return;
    world.agenda.on(day, () => {
      world.workFrom(day, 16);
      world.act('account.close-month', { month });
    });
  }
}
