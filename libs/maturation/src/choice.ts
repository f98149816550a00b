/**
 * A choice packs what happened since the reading before and how the reading came about into one
 * integer: what 2 bits, onset 3, level 4, kind the rest.
 */
export const pack = (what: number, onset: number, level: number, kind = 0): number =>
  what | (onset << 2) | (level << 5) | (kind << 9);
export const withKind = (choice: number, kind: number): number => choice | (kind << 9);
export const whatOf = (choice: number): number => choice & 3;
export const onsetOf = (choice: number): number => (choice >> 2) & 7;
export const levelOf = (choice: number): number => (choice >> 5) & 15;
export const kindOf = (choice: number): number => choice >> 9;
