const indexOf = (month: string): number =>
  Number(month.slice(0, 4)) * 12 + Number(month.slice(5)) - 1;
const nameOf = (index: number): string =>
  `${String(Math.floor(index / 12)).padStart(4, '0')}-${String((index % 12) + 1).padStart(2, '0')}`;

/** The calendar month so many after another; before it with a negative count. */
export const monthAfter = (month: string, count = 1): string => nameOf(indexOf(month) + count);

/** Calendar months from one to the other, both included. */
export const monthsBetween = (from: string, to: string): string[] =>
  Array.from({ length: Math.max(0, indexOf(to) - indexOf(from) + 1) }, (_, i) =>
    monthAfter(from, i),
  );
