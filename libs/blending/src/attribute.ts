import type { AttributeValue, CandidateCask } from './candidate.ts';
import type { ValueMatch } from './wish.ts';

/** The row a cask stands in, as one value; casks without a location share the value "unplaced". */
export function rowKey(cask: CandidateCask): string {
  const at = cask.location;
  if (!at) return 'unplaced';
  return [at.storeCode, at.zoneCode ?? '', at.row ?? ''].join('/');
}

/**
 * The cask's value of an attribute. `location.store`, `.zone`, `.row` and `.bay` read the location
 * (each with what encloses it, since row 3 of one store is not row 3 of another).
 */
export function attributeOf(cask: CandidateCask, attribute: string): AttributeValue | undefined {
  if (!attribute.startsWith('location.')) return cask.attributes[attribute];
  const at = cask.location;
  switch (attribute) {
    case 'location.row':
      return rowKey(cask);
    case 'location.store':
      return at?.storeCode;
    case 'location.zone':
      return at && [at.storeCode, at.zoneCode ?? ''].join('/');
    case 'location.bay':
      return at && `${rowKey(cask)}/${at.bay ?? ''}`;
    default:
      throw new RangeError(
        `attribute ${attribute}: location has store, zone, row and bay to speak of`,
      );
  }
}

/** True when a single value is among those meant. */
export function matches(value: string | number, among: ValueMatch): boolean {
  if (among.values?.some((v) => String(v) === String(value))) return true;
  if (among.from === undefined && among.to === undefined) return false;
  const number = typeof value === 'number' ? value : Number(value);
  return (
    Number.isFinite(number) &&
    number >= (among.from ?? -Infinity) &&
    number <= (among.to ?? Infinity)
  );
}

/** How much of the cask's ethanol matches, 0…1; 0 when the attribute is not known. */
export function shareMatching(cask: CandidateCask, attribute: string, among: ValueMatch): number {
  const value = attributeOf(cask, attribute);
  if (value === undefined) return 0;
  if (typeof value !== 'object') return matches(value, among) ? 1 : 0;
  let sum = 0;
  for (const [origin, share] of Object.entries(value)) if (matches(origin, among)) sum += share;
  return Math.min(1, sum);
}

/** Value → share of the cask's ethanol; empty when the attribute is not known. */
export function sharesByValue(cask: CandidateCask, attribute: string): [string, number][] {
  const value = attributeOf(cask, attribute);
  if (value === undefined) return [];
  if (typeof value !== 'object') return [[String(value), 1]];
  return Object.entries(value).filter(([, share]) => share > 0);
}

/** The attribute as a figure, or undefined when it is missing or no number. */
export function scoreOf(cask: CandidateCask, attribute: string): number | undefined {
  const value = attributeOf(cask, attribute);
  return typeof value === 'number' && Number.isFinite(value) ? value : undefined;
}
