import { api, useApi } from '../../data/client.ts';

export interface LossBand {
  readonly className: string;
  readonly words: string;
  /** Upper end, % of the original pure alcohol a year. */
  readonly below: number;
}
/** Told apart by tint and by pattern. The ends are round figures for reading the map, not limits of anything. */
export const LOSS_BANDS: readonly LossBand[] = [
  { className: 'slot-loss-1', words: 'below 1.5 % a year', below: 1.5 },
  { className: 'slot-loss-2', words: '1.5 to 3 %', below: 3 },
  { className: 'slot-loss-3', words: '3 to 5 %', below: 5 },
  { className: 'slot-loss-4', words: '5 % and more', below: Infinity },
];

/** Yearly loss of each gauged cask of a store; empty without a network. */
export function useLossRates(storeId: string, wanted: boolean): ReadonlyMap<string, number> {
  const query = useApi(
    api.maturation.lossRates,
    { query: { storeId } },
    { enabled: wanted && storeId !== '' },
  );
  return new Map(
    (query.data?.rows ?? []).flatMap(({ caskId, percentPerYear }) =>
      percentPerYear === null ? [] : [[caskId, percentPerYear] as const],
    ),
  );
}

export const bandOf = (percentPerYear: number): LossBand | undefined =>
  LOSS_BANDS.find(({ below }) => percentPerYear < below);
