/** Conflicts whose reason is plain arithmetic, on a stock too large for the reason to be met by chance. */
import { expect, test } from 'vitest';
import { planBlend, type Wish } from '@rundlet/blending';
import { instance } from '../../bench/blending-instances.ts';
import { clock, solver } from './support.ts';

const floor = (id: string, value: string, least: number): Wish => ({
  id,
  kind: 'share',
  attribute: 'contents',
  among: { values: [value] },
  of: 'lpa',
  floor: least,
});

test.each([1, 2])(
  'two floors that come to more than all conflict, and nothing else does (seed %i)',
  (seed) => {
    const { wishes, ...rest } = instance('rows', 1_000, seed);
    const others = wishes.filter(({ id }) => id !== 'wine' && id !== 'oloroso');
    const problem = {
      ...rest,
      wishes: [...others, floor('a', 'red wine', 0.5), floor('b', 'oloroso', 0.55)],
    };
    const result = planBlend(problem, { solver, clock, timeLimitSeconds: 20, explainSeconds: 10 });
    expect(result.status).toBe('infeasible');
    if (result.status !== 'infeasible') return;
    expect(result.conflict?.irreducible).toBe(true);
    expect(result.conflict?.wishes.map(({ wishId }) => wishId)).toEqual(['a', 'b']);
  },
);
