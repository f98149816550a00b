import type { AisleSnapshot, Place, Stow, Zone } from '@rundlet/contracts';
import { nearestCodes, parseScan, type Scan } from '@rundlet/identifiers';

export type AisleCask = AisleSnapshot['casks'][number];
export type AislePosition = Place;

/** A snapshot with the ways to find things in it. */
export interface AisleIndex {
  readonly snapshot: AisleSnapshot;
  readonly caskById: ReadonlyMap<string, AisleCask>;
  readonly positionById: ReadonlyMap<string, AislePosition>;
  readonly zoneName: ReadonlyMap<string, string>;
  readonly caskByCode: ReadonlyMap<string, AisleCask>;
  readonly positionByCode: ReadonlyMap<string, AislePosition>;
}

export function indexAisle(snapshot: AisleSnapshot): AisleIndex {
  const caskByCode = new Map<string, AisleCask>();
  for (const cask of snapshot.casks)
    for (const alias of cask.aliases) caskByCode.set(alias.toUpperCase(), cask);
  // The estate’s GS1 key of a cask, where it has one: its QR code holds that and not the short code.
  for (const cask of snapshot.casks) if (cask.giai) caskByCode.set(cask.giai, cask);
  // A cask's own code wins over another's alias.
  for (const cask of snapshot.casks) caskByCode.set(cask.code, cask);
  return {
    snapshot,
    caskById: new Map(snapshot.casks.map((cask) => [cask.id, cask])),
    positionById: new Map(snapshot.positions.map((position) => [position.id, position])),
    zoneName: new Map(snapshot.zones.map((zone) => [zone.id, zone.name])),
    caskByCode,
    positionByCode: new Map(snapshot.positions.map((position) => [position.code, position])),
  };
}

export type LocalFind =
  { kind: 'cask'; cask: AisleCask } | { kind: 'position'; position: AislePosition } | null;

/** A store that was kept before it told the estate's company prefix has none. */
function scanOf({ snapshot }: AisleIndex, text: string): Scan {
  const { companyPrefix } = snapshot as Partial<AisleSnapshot>;
  return parseScan(text, companyPrefix ? { companyPrefixes: [companyPrefix] } : {});
}

/** What a scanned or typed text means among the casks and positions kept here; null when none of them. */
export function findInAisle(index: AisleIndex, text: string): LocalFind {
  const scan = scanOf(index, text);
  const certain = scan.candidates.filter((candidate) => candidate.assumption === undefined);
  for (const code of [...certain.map((candidate) => candidate.code), scan.text.toUpperCase()]) {
    const cask = index.caskByCode.get(code);
    if (cask) return { kind: 'cask', cask };
    const position = index.positionByCode.get(code);
    if (position) return { kind: 'position', position };
  }
  return null;
}

/** The code of a spare label that is on no cask yet, as far as this device knows; null for anything else. */
export function spareInAisle(index: AisleIndex, text: string): string | null {
  // A store that was kept before there were spares has none.
  const spares = (index.snapshot as Partial<AisleSnapshot>).spareCodes ?? [];
  const codes = scanOf(index, text).candidates.map(({ code }) => code);
  return codes.find((code) => spares.includes(code)) ?? null;
}

/** Casks whose codes are nearest to one that cannot be right. */
export function nearestInAisle(index: AisleIndex, text: string): AisleCask[] {
  const { problems, text: plain } = parseScan(text);
  const wrong = problems.find((problem) => problem.kind === 'wrong-check-character');
  return nearestCodes(
    wrong?.code ?? plain,
    index.snapshot.casks.map((cask) => cask.code),
    { limit: 4 },
  ).flatMap(({ code }) => index.caskByCode.get(code) ?? []);
}

/** How a zone is stowed; a store that was kept before zones could say so has no word on it. */
export const stowOf = (zone: Partial<Zone>): Stow | null => zone.stow ?? null;

/** The same in short, for a button: `C 8 1 L`. */
export const positionShort = ({
  row,
  bay,
  level,
  slot,
}: Pick<AislePosition, 'row' | 'bay' | 'level' | 'slot'>): string =>
  [row, bay, level, slot].join(' ');

/** Row, bay, level and slot in the words that stand on the rack. */
export function positionWords(
  position: Pick<AislePosition, 'row' | 'bay' | 'level' | 'slot'>,
): string {
  return `row ${position.row} · bay ${position.bay} · level ${position.level} · slot ${position.slot}`;
}
