import type { Cooperage } from '@rundlet/contracts';
import { capacityLitres, innerAreaM2, typicalGeometry, type CaskGeometry } from '@rundlet/gauging';
import type { Wood } from './maturing.ts';
import type { Random } from './random.ts';

interface CaskPlan {
  readonly kind: string;
  readonly nominalLitres: number;
  readonly woodSpecies: string;
  readonly forest: string | null;
  readonly toast: string | null;
  readonly char: string | null;
  readonly previousContents: string;
  readonly earlierFillings: number;
  readonly share: number;
  readonly code: string;
}

/** What the estate buys. Litres are asked of the cooper, never read off a name. */
export const CASK_PLANS: readonly CaskPlan[] = [
  {
    code: 'BB',
    kind: 'barrel',
    nominalLitres: 200,
    woodSpecies: 'Quercus alba',
    forest: 'Inland hills',
    toast: null,
    char: 'Medium',
    previousContents: 'bourbon',
    earlierFillings: 1,
    share: 30,
  },
  {
    code: 'HB',
    kind: 'hogshead',
    nominalLitres: 250,
    woodSpecies: 'Quercus alba',
    forest: 'Inland hills',
    toast: null,
    char: 'Medium',
    previousContents: 'bourbon',
    earlierFillings: 1,
    share: 17,
  },
  {
    code: 'RH',
    kind: 'hogshead',
    nominalLitres: 250,
    woodSpecies: 'Quercus alba',
    forest: null,
    toast: null,
    char: 'Re-charred',
    previousContents: 'whisky',
    earlierFillings: 2,
    share: 9,
  },
  {
    code: 'WB',
    kind: 'barrique',
    nominalLitres: 225,
    woodSpecies: 'Quercus petraea',
    forest: 'Ridge forest',
    toast: 'Medium',
    char: null,
    previousContents: 'wine',
    earlierFillings: 0,
    share: 13,
  },
  {
    code: 'NB',
    kind: 'barrique',
    nominalLitres: 225,
    woodSpecies: 'Quercus petraea',
    forest: 'Ridge forest',
    toast: 'Medium long',
    char: null,
    previousContents: 'none',
    earlierFillings: 0,
    share: 8,
  },
  {
    code: 'NV',
    kind: 'barrel',
    nominalLitres: 200,
    woodSpecies: 'Quercus alba',
    forest: 'Inland hills',
    toast: null,
    char: 'Heavy',
    previousContents: 'none',
    earlierFillings: 0,
    share: 5,
  },
  {
    code: 'SP',
    kind: 'puncheon',
    nominalLitres: 500,
    woodSpecies: 'Quercus robur',
    forest: 'Northern weald',
    toast: 'Light',
    char: null,
    previousContents: 'sherry',
    earlierFillings: 0,
    share: 5,
  },
  {
    code: 'SB',
    kind: 'butt',
    nominalLitres: 500,
    woodSpecies: 'Quercus robur',
    forest: 'Northern weald',
    toast: 'Light',
    char: null,
    previousContents: 'sherry',
    earlierFillings: 0,
    share: 3,
  },
  {
    code: 'QC',
    kind: 'quarter cask',
    nominalLitres: 125,
    woodSpecies: 'Quercus alba',
    forest: null,
    toast: 'Medium',
    char: null,
    previousContents: 'bourbon',
    earlierFillings: 1,
    share: 6,
  },
  {
    code: 'OC',
    kind: 'octave',
    nominalLitres: 60,
    woodSpecies: 'Quercus robur',
    forest: null,
    toast: 'Medium',
    char: null,
    previousContents: 'sherry',
    earlierFillings: 0,
    share: 4,
  },
];

const COOPERS = ['Estate cooperage', 'Ridge cooperage', 'Quayside cooperage'];

/** A cask as bought: what the estate writes down of it, and what is true of it. */
export interface MadeCask {
  readonly cooperage: Cooperage;
  readonly geometry: CaskGeometry & {
    readonly figure: 'parabolic-spindle';
    readonly basis: 'measured' | 'assumed';
  };
  readonly capacityLitres: number | null;
  readonly tareKg: number;
  readonly earlierFillings: number;
  /** what the cooper burns before his running number */
  readonly cooperMark: string;
  readonly trueCapacityLitres: number;
  readonly wood: Wood;
  /** lasting error of this cask's dip: a bung stave that isn't at the highest point, mm */
  readonly dipBiasMm: number;
}

/** Casks of one cooperage lot share some of their tightness. */
export interface CooperLot {
  readonly name: string;
  readonly cooper: string;
  readonly lnTightness: number;
}
export function cooperLot(random: Random, year: number, serial: number): CooperLot {
  return {
    name: `${String(year).slice(2)}-${String(serial).padStart(3, '0')}`,
    cooper: random.pick(COOPERS),
    lnTightness: random.normal(0, 0.11),
  };
}

/** Typical flow through the wood of a 200 L cask, mol m⁻² s⁻¹ Pa⁻¹ (order of magnitude: common practice, no published source). */
const WATER_PERMEABILITY = 9e-9;
const ETHANOL_SHARE = 0.062;

export function makeCask(random: Random, lot: CooperLot, plan: CaskPlan): MadeCask {
  const measured = random.chance(0.7);
  const typical = typicalGeometry(
    plan.nominalLitres * (1 + random.normal(0, measured ? 0.012 : 0)),
  );
  const geometry = {
    figure: 'parabolic-spindle' as const,
    bilgeDiameterMm: Math.round(typical.bilgeDiameterMm),
    headDiameterMm: Math.round(
      typical.headDiameterMm * (1 + random.normal(0, measured ? 0.008 : 0)),
    ),
    lengthMm: Math.round(typical.lengthMm),
    basis: measured ? ('measured' as const) : ('assumed' as const),
  };
  const fromGeometry = capacityLitres(geometry);
  const trueCapacityLitres = fromGeometry * (1 + random.normal(0, measured ? 0.005 : 0.01));
  // Small casks are made of thinner staves.
  const thinner = (200 / plan.nominalLitres) ** 0.12;
  const permeability =
    WATER_PERMEABILITY * thinner * Math.exp(lot.lnTightness + random.normal(0, 0.17));
  return {
    cooperage: {
      kind: plan.kind,
      nominalLitres: plan.nominalLitres,
      woodSpecies: plan.woodSpecies,
      forest: plan.forest,
      seasoningMonths: plan.previousContents === 'none' ? random.pick([24, 30, 36]) : null,
      toast: plan.toast,
      char: plan.char,
      previousContents: plan.previousContents,
      cooper: lot.cooper,
      cooperLot: lot.name,
    },
    geometry,
    // A third of the casks were filled through a meter once: their brim-full litres are known.
    capacityLitres: random.chance(0.33)
      ? Math.round(trueCapacityLitres * (1 + random.normal(0, 0.002)) * 10) / 10
      : null,
    tareKg:
      Math.round(50 * (plan.nominalLitres / 200) ** 0.75 * (1 + random.normal(0, 0.05)) * 2) / 2,
    earlierFillings: plan.earlierFillings,
    cooperMark: `${plan.code}${lot.name.replace('-', '')}`,
    trueCapacityLitres,
    wood: {
      areaM2: innerAreaM2(geometry),
      waterPermeability: permeability,
      ethanolPermeability: permeability * ETHANOL_SHARE * Math.exp(random.normal(0, 0.1)),
    },
    dipBiasMm: random.normal(0, 1.2),
  };
}

/** Share of the fill that the wood drinks: more where it never held strong spirit (common practice, no published source). */
export function thirstShare(random: Random, cask: MadeCask, fillingsBefore: number): number {
  if (fillingsBefore > 0) return random.between(0.004, 0.01);
  return cask.cooperage.previousContents === 'none'
    ? random.between(0.02, 0.03)
    : random.between(0.014, 0.022);
}
