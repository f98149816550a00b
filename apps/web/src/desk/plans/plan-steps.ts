import { BlendRequest, type PlanView } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';

export const STEPS = ['reserve', 'scan', 'draw', 'gauge', 'trim', 'record'] as const;
export type Step = (typeof STEPS)[number];

export const STEP_WORDS: Readonly<Record<Step, string>> = {
  reserve: 'Reserve',
  scan: 'Scan out',
  draw: 'Draw',
  gauge: 'Gauge the vat',
  trim: 'Trim with water',
  record: 'Record',
};

export interface StepState {
  readonly step: Step;
  readonly done: boolean;
  readonly words: string;
}

/** How far each step of a plan is. */
export function stepStates({ plan, picks, vat }: PlanView): StepState[] {
  const reserved = plan.status !== 'saved';
  const vatted = plan.status === 'vatted';
  const out = picks.filter((p) => p.outAt !== null || p.drawn).length;
  const drawn = picks.filter((p) => p.drawn).length;
  const all = picks.length;
  const of = (n: number) => (n === 0 ? '' : `${String(n)} of ${String(all)}`);
  return [
    { step: 'reserve', done: reserved, words: reserved ? (vat?.name ?? 'done') : '' },
    { step: 'scan', done: out === all, words: of(out) },
    { step: 'draw', done: drawn === all, words: of(drawn) },
    {
      step: 'gauge',
      done: vat?.lastGaugedAt != null || vatted,
      words: vat?.lastGaugedAt ? format.clock(vat.lastGaugedAt) : '',
    },
    {
      step: 'trim',
      done: vatted || (drawn === all && vat?.lastGaugedAt != null && isAtStrength(plan, vat)),
      words: vat?.lastReducedAt
        ? `${format.clock(vat.lastReducedAt)}, ${format.strength(vat.figures.strengthPercentVol)}`
        : '',
    },
    { step: 'record', done: vatted, words: '' },
  ];
}

/** What a plan is taken to allow where its request does not say. */
const TOLERANCE_PERCENT_VOL = 0.05;

/** Reduced in steps, the vat is there only after the last. */
function isAtStrength(
  { request, targetStrengthPercentVol }: PlanView['plan'],
  { figures }: NonNullable<PlanView['vat']>,
): boolean {
  const { data } = BlendRequest.shape.target.safeParse(request['target']);
  const tolerance = data?.strengthTolerancePercentVol ?? TOLERANCE_PERCENT_VOL;
  return figures.strengthPercentVol <= targetStrengthPercentVol + tolerance;
}

/** What is to be done next. Once drawing has begun it goes on; who fetches casks one by one chooses the step. */
export function nextStep(view: PlanView): Step {
  const { plan, picks } = view;
  if (plan.status === 'saved') return 'reserve';
  const left = picks.filter((p) => !p.drawn);
  if (left.length === picks.length && left.some((p) => p.outAt === null)) return 'scan';
  if (left.length > 0) return 'draw';
  const after = stepStates(view).filter(({ step }) => step === 'gauge' || step === 'trim');
  return after.find(({ done }) => !done)?.step ?? 'record';
}
