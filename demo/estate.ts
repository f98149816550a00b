/**
 * Harrow Point: an orchard and grain estate on a coast that does not exist. Nobody and nothing here is real; plants and
 * places are named for the story only.
 */
import type { Stow } from '@rundlet/contracts';
import type { ZoneNature } from './weather.ts';

export const ESTATE_NAME = 'Harrow Point';
export const TIME_ZONE = 'Europe/London';

export interface ZonePlan {
  readonly code: string;
  readonly name: string;
  readonly floor: number;
  readonly stow: Stow;
  readonly nature: ZoneNature;
  /** share of the estate's casks that lie here */
  readonly share: number;
  /** how a logger file from here looks */
  readonly logger: {
    readonly name: string;
    readonly format: 'utc' | 'local';
    readonly years: number;
  };
}
export interface StorePlan {
  readonly code: string;
  readonly name: string;
  readonly remark: string;
  readonly zones: readonly ZonePlan[];
}

export const STORES: readonly StorePlan[] = [
  {
    code: 'SALT',
    name: 'Saltstair',
    remark:
      'Stone store above the tide line, earth floor below, damp the year round. Spirit vapour gathers low: air it before work; no ordinary phones or scanners where the site’s own risk assessment says so.',
    zones: [
      {
        code: 'SALT-U',
        name: 'Undercroft',
        floor: -1,
        stow: { kind: 'dunnage', mouth: 'both-ends', largestCaskLitres: 320 },
        share: 0.19,
        nature: {
          lagDays: 45,
          warmerByC: 0.2,
          roofSwingC: -1.2,
          humidityPercent: 85,
          humiditySwingPercent: -1,
          dayNightC: 0.2,
        },
        logger: { name: 'Logger 11, east pier', format: 'utc', years: 3.9 },
      },
      {
        code: 'SALT-Q',
        name: 'Quay floor',
        floor: 0,
        stow: { kind: 'dunnage', mouth: 'lowest-bay', largestCaskLitres: 600 },
        share: 0.25,
        nature: {
          lagDays: 22,
          warmerByC: 0.5,
          roofSwingC: -0.4,
          humidityPercent: 80,
          humiditySwingPercent: 1,
          dayNightC: 0.5,
        },
        logger: { name: 'Logger 12, weigh door', format: 'local', years: 3.6 },
      },
      {
        code: 'SALT-T',
        name: 'Tallow floor',
        floor: 1,
        stow: { kind: 'racked', largestCaskLitres: 320 },
        share: 0.13,
        nature: {
          lagDays: 12,
          warmerByC: 1,
          roofSwingC: 0.3,
          humidityPercent: 75,
          humiditySwingPercent: 2,
          dayNightC: 0.9,
        },
        logger: { name: 'Logger 13, north wall', format: 'utc', years: 3.2 },
      },
    ],
  },
  {
    code: 'ROPE',
    name: 'Ropewalk',
    remark: 'Long timber loft on the ridge, dry and warm under slates, windows south and north.',
    zones: [
      {
        code: 'ROPE-W',
        name: 'Walking floor',
        floor: 0,
        stow: { kind: 'racked', largestCaskLitres: 600 },
        share: 0.24,
        nature: {
          lagDays: 8,
          warmerByC: 1.5,
          roofSwingC: 1,
          humidityPercent: 62,
          humiditySwingPercent: 3,
          dayNightC: 1.6,
        },
        logger: { name: 'Logger 21, mid-walk post', format: 'utc', years: 3.8 },
      },
      {
        code: 'ROPE-H',
        name: 'Hemp loft',
        floor: 1,
        stow: { kind: 'palletised', mouth: 'every-bay', largestCaskLitres: 320 },
        share: 0.19,
        nature: {
          lagDays: 3,
          warmerByC: 2.6,
          roofSwingC: 2.2,
          humidityPercent: 51,
          humiditySwingPercent: 4,
          dayNightC: 3.4,
        },
        logger: { name: 'Logger 22, tie beam', format: 'local', years: 3.5 },
      },
    ],
  },
];

/** Where empty casks wait. It lies at Saltstair, has no logger and holds no spirit. */
export const YARD = { code: 'SALT-Y', name: 'Cooper’s yard', floor: 0 };

export const ACCOUNTS = [
  { code: 'HP', name: 'Harrow Point estate', kind: 'own', remark: null },
  {
    code: 'MARRAM',
    name: 'Marram Row Cellars',
    kind: 'customer',
    remark: 'Buys new-make in cask, collects at eight years.',
  },
  {
    code: 'LANTERN',
    name: 'The Lantern Society',
    kind: 'customer',
    remark: 'Members’ casks; samples go out each autumn.',
  },
] as const;

export type Crop = 'pear' | 'apple' | 'barley' | 'rye';
export interface PlotPlan {
  readonly code: string;
  readonly name: string;
  readonly areaHa: number;
  readonly soil: string;
  readonly crop: Crop;
  readonly variety: string;
  readonly plantedYear: number | null;
}
export const PLOTS: readonly PlotPlan[] = [
  {
    code: 'GULLROW',
    name: 'Gull Row',
    areaHa: 2.4,
    soil: 'Shallow loam on shingle',
    crop: 'pear',
    variety: 'Tawny Moth',
    plantedYear: 1931,
  },
  {
    code: 'CHANTRY',
    name: 'Chantry Hang',
    areaHa: 1.7,
    soil: 'Red marl, steep',
    crop: 'pear',
    variety: 'Late Sallow',
    plantedYear: 1948,
  },
  {
    code: 'WRECKERS',
    name: 'Wreckers’ Piece',
    areaHa: 3.1,
    soil: 'Clay over sandstone',
    crop: 'pear',
    variety: 'Bell Thorn',
    plantedYear: 1976,
  },
  {
    code: 'MILKSTONE',
    name: 'Milkstone',
    areaHa: 2,
    soil: 'Stony brown earth',
    crop: 'pear',
    variety: 'Pale Widow',
    plantedYear: 2003,
  },
  {
    code: 'BROADLEY',
    name: 'Broadley Orchard',
    areaHa: 4.6,
    soil: 'Deep silt loam',
    crop: 'apple',
    variety: 'Copper Nail',
    plantedYear: 1989,
  },
  {
    code: 'SEXTONS',
    name: 'Sexton’s Acre',
    areaHa: 1.2,
    soil: 'Calcareous loam',
    crop: 'apple',
    variety: 'Bitter Wicket',
    plantedYear: 1957,
  },
  {
    code: 'LONGSHADE',
    name: 'Longshade',
    areaHa: 3.3,
    soil: 'Clay loam, north slope',
    crop: 'apple',
    variety: 'Lantern Sharp',
    plantedYear: 1998,
  },
  {
    code: 'HIGHFLAT',
    name: 'High Flat',
    areaHa: 11.5,
    soil: 'Light sandy loam',
    crop: 'barley',
    variety: 'Skerry Two-Row',
    plantedYear: null,
  },
  {
    code: 'DRUMFIELD',
    name: 'Drum Field',
    areaHa: 8.2,
    soil: 'Loam over chalk',
    crop: 'barley',
    variety: 'Skerry Two-Row',
    plantedYear: null,
  },
  {
    code: 'SIXGATES',
    name: 'Six Gates',
    areaHa: 9.4,
    soil: 'Flinty clay',
    crop: 'barley',
    variety: 'Old Hulver',
    plantedYear: null,
  },
  {
    code: 'SALTINGS',
    name: 'The Saltings',
    areaHa: 6.8,
    soil: 'Drained marsh silt',
    crop: 'rye',
    variety: 'Blue Straw',
    plantedYear: null,
  },
  {
    code: 'OUTNESS',
    name: 'Out Ness',
    areaHa: 5.1,
    soil: 'Blown sand, limed',
    crop: 'rye',
    variety: 'Blue Straw',
    plantedYear: null,
  },
];

export interface SpiritPlan {
  readonly crop: Crop;
  readonly name: string;
  readonly code: string;
  /** day and month of the season's first run */
  readonly firstRun: { readonly month: number; readonly day: number };
  readonly fillingStrengthPercentVol: number;
  /** litres of ferment per kg of raw material, and fermentable sugar in it */
  readonly fermentLitresPerKg: number;
  readonly sugarPercentMass: number;
  readonly still: string;
  readonly yeast: string;
}
export const SPIRITS: readonly SpiritPlan[] = [
  {
    crop: 'pear',
    name: 'Perry spirit',
    code: 'PE',
    firstRun: { month: 11, day: 17 },
    fillingStrengthPercentVol: 60.5,
    fermentLitresPerKg: 0.64,
    sugarPercentMass: 11.5,
    still: 'Orchard still',
    yeast: 'Wild, from the pomace',
  },
  {
    crop: 'apple',
    name: 'Apple spirit',
    code: 'AP',
    firstRun: { month: 12, day: 1 },
    fillingStrengthPercentVol: 62,
    fermentLitresPerKg: 0.66,
    sugarPercentMass: 12.5,
    still: 'Orchard still',
    yeast: 'Wild, from the pomace',
  },
  {
    crop: 'barley',
    name: 'Barley spirit',
    code: 'BA',
    firstRun: { month: 3, day: 4 },
    fillingStrengthPercentVol: 63.5,
    fermentLitresPerKg: 4.6,
    sugarPercentMass: 63,
    still: 'Tide stills',
    yeast: 'Estate culture 4',
  },
  {
    crop: 'rye',
    name: 'Rye spirit',
    code: 'RY',
    firstRun: { month: 4, day: 8 },
    fillingStrengthPercentVol: 63.5,
    fermentLitresPerKg: 4.9,
    sugarPercentMass: 60,
    still: 'Tide stills',
    yeast: 'Estate culture 7',
  },
];
