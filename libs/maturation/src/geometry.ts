import type { CaskKind } from './types.ts';

/**
 * Inner wall of a cask of usual proportions by its capacity, m².
 * Parabolic staves with chosen dimensions give 91 cm²/L at 202 L, 106 at 127 L and 65 at 510 L;
 * similar casks scale with capacity^(2/3). Used only when nothing was measured.
 */
export function innerAreaFromCapacity(capacityLitres: number): number {
  return 1.83 * (capacityLitres / 200) ** (2 / 3);
}

export interface Vessel {
  capacityLitres: number;
  innerAreaM2: number;
  upright: boolean;
}

/**
 * Capacity and wall of a cask as far as they are known.
 * @throws RangeError when a size is not between 1 and 100 000 L
 */
export function vesselOf(kind: CaskKind): Vessel {
  const capacityLitres = kind.capacityLitres ?? kind.nominalLitres;
  if (!(capacityLitres >= 1 && capacityLitres <= 100000)) {
    throw new RangeError(
      `cask capacity ${String(capacityLitres)} L lies outside 1 to 100 000 L; give the inside capacity`,
    );
  }
  const innerAreaM2 = kind.innerAreaM2 ?? innerAreaFromCapacity(capacityLitres);
  if (!(innerAreaM2 > 0 && innerAreaM2 < 1000)) {
    throw new RangeError(`inner area ${String(innerAreaM2)} m² lies outside 0 to 1000 m²`);
  }
  return { capacityLitres, innerAreaM2, upright: kind.orientation === 'upright' };
}

export const DRY_STEPS = 128;

/** Share of the wall above the liquid by filled share: [0] lying (a cylinder), [1] standing. */
export const DRY_SHARE: readonly [Float64Array, Float64Array] = [
  new Float64Array(DRY_STEPS + 2),
  new Float64Array(DRY_STEPS + 2),
];
for (let i = 0; i <= DRY_STEPS + 1; i++) {
  const filled = Math.min(1, i / DRY_STEPS);
  DRY_SHARE[0][i] = Math.acos(2 * filled - 1) / Math.PI;
  // heads of a barrel are some 14 % of the wall each; the upper one dries as soon as there is ullage
  DRY_SHARE[1][i] = filled >= 1 ? 0 : 0.14 * Math.min(1, (1 - filled) * 50) + 0.72 * (1 - filled);
}
