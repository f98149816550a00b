import type { PlanView } from '@rundlet/contracts';
import { expect, test } from 'vitest';
import { nextStep, stepStates } from './plan-steps.ts';

const at = '2026-03-01T10:00:00.000Z';
/** One cask drawn, the vat gauged and at this strength. */
const view = (strengthPercentVol: number, status: 'drawing' | 'vatted' = 'drawing'): PlanView =>
  ({
    plan: {
      status,
      targetStrengthPercentVol: 46,
      request: {
        target: { bulkLitresAt20C: 500, strengthPercentVol: 46, strengthTolerancePercentVol: 0.2 },
      },
    },
    picks: [{ outAt: at, drawn: true }],
    vat: {
      name: 'Marrying vat',
      lastGaugedAt: at,
      lastReducedAt: at,
      figures: {
        bulkLitresAt20C: 500,
        strengthPercentVol,
        litresPureAlcohol: 5 * strengthPercentVol,
      },
    },
  }) as unknown as PlanView;
const trimmed = (of: PlanView) => stepStates(of).find(({ step }) => step === 'trim')?.done;

test('a vat reduced in steps is trimmed once it is at its strength, not after the first step', () => {
  expect([view(60.6), view(46.25), view(46.15), view(45.9)].map(trimmed)).toEqual([
    false,
    false,
    true,
    true,
  ]);
  expect(nextStep(view(60.6))).toBe('trim');
  expect(nextStep(view(46.15))).toBe('record');
  expect(trimmed(view(60.6, 'vatted'))).toBe(true);
});
