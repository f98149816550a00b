import type { ActKind, StepKind } from '@rundlet/contracts';

export interface StepField {
  readonly name: string;
  readonly label: string;
  readonly as: 'text' | 'long' | 'number' | 'date';
  readonly unit?: string;
  readonly hint?: string;
  readonly optional?: true;
}

export interface Step {
  readonly act: ActKind;
  /** "Record a plot". */
  readonly a: string;
  readonly fields: readonly StepField[];
  /** The one earlier record it belongs to. */
  readonly from?: { readonly name: string; readonly kind: StepKind; readonly label: string };
  /** The earlier records it was made of, each with how much. */
  readonly inputs?: {
    readonly kind: StepKind;
    readonly label: string;
    readonly idName: string;
    readonly amountName: string;
    readonly unit: string;
    /** What the amount typed is divided by: 100 for a share in %. */
    readonly per: number;
    readonly mayBeEmpty?: true;
  };
  /** When it happened, from its own date. */
  readonly happened?: string;
  /** What is recorded after it. */
  readonly next?: { readonly kind: StepKind; readonly words: string };
}

const code = (hint: string): StepField => ({ name: 'code', label: 'Code', as: 'text', hint });

/** The steps that are entered by hand, each with its fields; vats, casks and blends have screens of their own. */
export const STEP: { readonly [K in StepKind]: Step } = {
  plot: {
    act: 'plot.record',
    next: { kind: 'harvest-lot', words: 'a harvest of it' },
    a: 'a plot',
    fields: [
      code('short, given once'),
      { name: 'name', label: 'Name', as: 'text' },
      { name: 'areaHa', label: 'Area', as: 'number', unit: 'ha' },
      { name: 'crop', label: 'Crop', as: 'text', hint: 'pears, barley, cane …' },
      { name: 'variety', label: 'Variety', as: 'text' },
      { name: 'plantedYear', label: 'Planted in', as: 'number', unit: 'year', optional: true },
      { name: 'soil', label: 'Soil', as: 'long', optional: true },
    ],
  },
  'harvest-lot': {
    act: 'harvest.record',
    next: { kind: 'ferment', words: 'a ferment of it' },
    a: 'a harvest lot',
    from: { name: 'plotId', kind: 'plot', label: 'From plot' },
    fields: [
      code('as on its bins or its ticket'),
      { name: 'harvestedOn', label: 'Harvested on', as: 'date' },
      { name: 'massKg', label: 'Weight', as: 'number', unit: 'kg' },
      {
        name: 'sugarPercentMass',
        label: 'Fermentable sugar',
        as: 'number',
        unit: '% of the weight',
        hint: 'for grain: the sugar its starch can give',
      },
    ],
    happened: 'harvestedOn',
  },
  ferment: {
    act: 'ferment.record',
    next: { kind: 'still-run', words: 'a run of it' },
    a: 'a ferment',
    fields: [
      code('short, given once'),
      { name: 'vessel', label: 'Vessel', as: 'text' },
      { name: 'yeast', label: 'Yeast', as: 'text' },
      { name: 'startedOn', label: 'Started on', as: 'date' },
      { name: 'endedOn', label: 'Ended on', as: 'date' },
      { name: 'bulkLitresAt20C', label: 'Volume at the end, at 20 °C', as: 'number', unit: 'L' },
      { name: 'strengthPercentVol', label: 'Strength at the end', as: 'number', unit: '% vol' },
    ],
    inputs: {
      kind: 'harvest-lot',
      label: 'Harvest lots in it',
      idName: 'harvestLotId',
      amountName: 'massKg',
      unit: 'kg',
      per: 1,
    },
    happened: 'endedOn',
  },
  'still-run': {
    act: 'still-run.record',
    next: { kind: 'spirit-lot', words: 'a spirit lot of it' },
    a: 'a distillation run',
    fields: [
      code('short, given once'),
      { name: 'still', label: 'Still', as: 'text' },
      { name: 'ranOn', label: 'Ran on', as: 'date' },
      { name: 'headsLitresAt20C', label: 'Heads cut off, at 20 °C', as: 'number', unit: 'L' },
      { name: 'heartsLitresAt20C', label: 'Hearts, at 20 °C', as: 'number', unit: 'L' },
      {
        name: 'heartsStrengthPercentVol',
        label: 'Strength of the hearts',
        as: 'number',
        unit: '% vol',
      },
      { name: 'tailsLitresAt20C', label: 'Tails cut off, at 20 °C', as: 'number', unit: 'L' },
    ],
    inputs: {
      kind: 'ferment',
      label: 'Ferments charged',
      idName: 'fermentId',
      amountName: 'bulkLitresAt20C',
      unit: 'L',
      per: 1,
    },
    happened: 'ranOn',
  },
  'spirit-lot': {
    act: 'spirit-lot.record',
    a: 'a spirit lot',
    fields: [code('short, given once'), { name: 'name', label: 'Name', as: 'text' }],
    inputs: {
      kind: 'still-run',
      label: 'Runs it comes from',
      idName: 'stillRunId',
      amountName: 'share',
      unit: '% of its ethanol',
      per: 100,
      mayBeEmpty: true,
    },
  },
};

export const isStepKind = (kind: string): kind is StepKind => kind in STEP;
