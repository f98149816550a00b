import type { LineageKind } from '@rundlet/contracts';

/** The chain's steps from left to right, those that stand side by side together. */
export const STEPS: readonly {
  readonly kinds: readonly LineageKind[];
  readonly title: string;
}[] = [
  { kinds: ['plot'], title: 'Plots' },
  { kinds: ['harvest-lot'], title: 'Harvest lots' },
  { kinds: ['ferment'], title: 'Ferments' },
  { kinds: ['still-run'], title: 'Distillation runs' },
  { kinds: ['spirit-lot'], title: 'Spirit lots' },
  { kinds: ['filling'], title: 'Casks' },
  { kinds: ['vat', 'blend'], title: 'Vats and blends' },
  { kinds: ['bottling-run'], title: 'Bottlings' },
];

export const KIND_WORDS: Record<LineageKind, string> = {
  plot: 'plot',
  'harvest-lot': 'harvest lot',
  ferment: 'ferment',
  'still-run': 'distillation run',
  'spirit-lot': 'spirit lot',
  vat: 'vat',
  filling: 'cask filling',
  blend: 'blend',
  'bottling-run': 'bottling run',
};

export type Direction = 'back' | 'forth';
