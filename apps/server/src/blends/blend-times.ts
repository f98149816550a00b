/** Alternatives have so many seconds each beyond the time limit of the best plan. */
export const SECONDS_FOR_AN_ALTERNATIVE = 5;
/** What asking for the price of a little more may take. */
export const SENSITIVITY_SECONDS = 6;
