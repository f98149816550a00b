import { Injectable } from '@nestjs/common';
import { liquidFromVolume, mix, volumeOfLiquid, type Liquid } from '@rundlet/alcoholometry';
import { reductionSteps, trimAtVat } from '@rundlet/blending';
import {
  BlendRequest,
  type AnswerOf,
  type api,
  type BlendPlanRecord,
  type PlanView,
} from '@rundlet/contracts';
import { liquidOf } from '@rundlet/domain';
import { Records } from '../database/records.ts';
import { byWalk } from './blend-answer.ts';
import { lineOf } from './blend-candidates.ts';
import { windowsOf } from './blend-problem.ts';

type TrimView = AnswerOf<typeof api.blends.trim>;

/** Windows of a plan that was saved without the request that made it. */
const USUAL_TOLERANCE = { volumeTolerancePercent: 0.5, strengthTolerancePercentVol: 0.05 };
/** Slow reduction in steps is common practice (no published source); the blender may take others. */
const STEP_PERCENT_VOL = 3;

/** Saved plans: pick lists and the water still to add. */
@Injectable()
export class BlendPlans {
  constructor(private readonly records: Records) {}

  async view(id: string): Promise<PlanView> {
    const plan = await this.records.need('blend-plan', id);
    const fillings = await this.records.byId(
      'filling',
      plan.parts.map((p) => p.fillingId),
    );
    const casks = await this.records.byId(
      'cask',
      plan.parts.map((p) => p.caskId),
    );
    const positions = await this.records.byId(
      'position',
      [...casks.values()].flatMap((cask) => cask.positionId ?? []),
    );
    const drawn = new Set(plan.drawn.map((d) => d.fillingId));
    const picks = plan.parts.map((part) => {
      const position = positions.get(casks.get(part.caskId)?.positionId ?? '');
      const filling = fillings.get(part.fillingId);
      return {
        fillingId: part.fillingId,
        caskId: part.caskId,
        caskCode: part.caskCode,
        positionCode: position?.code ?? null,
        row: position?.row ?? null,
        walkOrder: position?.walkOrder ?? null,
        takeLitresAt20C: part.bulkLitresAt20C,
        whole: part.whole,
        drawn: drawn.has(part.fillingId),
        line: filling ? lineOf({ filling }) : '',
      };
    });
    return { plan, picks: picks.sort(byWalk) };
  }

  /** From what is in the vat by the book now, with the casks not drawn yet counted as planned. */
  async trim(id: string): Promise<TrimView> {
    const plan = await this.records.need('blend-plan', id);
    const vat = await this.records.find('vat', plan.vatId);
    const drawn = new Set(plan.drawn.map((d) => d.fillingId));
    const toCome = plan.parts.filter((part) => !drawn.has(part.fillingId));
    const liquid = mix(
      ...(vat ? [liquidOf(vat.content)] : []),
      ...toCome.map((p) => liquidFromVolume(p.bulkLitresAt20C, p.strengthPercentVol)),
    );
    const counted =
      toCome.length === 0
        ? 'All casks are drawn.'
        : `${String(drawn.size)} of ${String(plan.parts.length)} casks are drawn; the others are counted as planned.`;
    return trimView(plan, liquid, counted);
  }
}

function trimView(plan: BlendPlanRecord, liquid: Liquid, counted: string): TrimView {
  const asked = BlendRequest.safeParse(plan.request);
  const target = {
    ...USUAL_TOLERANCE,
    ...(asked.success ? asked.data.target : {}),
    bulkLitresAt20C: plan.targetLitresAt20C,
    strengthPercentVol: plan.targetStrengthPercentVol,
  };
  const gauge = volumeOfLiquid(liquid);
  const trim = trimAtVat(
    gauge,
    { ...windowsOf({ target }), targetPercentVol: plan.targetStrengthPercentVol },
    asked.success && asked.data.water === 'none' ? 0 : Infinity,
  );
  const start = {
    vatLitresAt20C: gauge.bulkLitresAt20C,
    vatStrengthPercentVol: gauge.strengthPercentVol,
  };
  if (trim.status === 'out-of-reach')
    return {
      ...start,
      waterLitresAt20C: 0,
      waterKg: 0,
      resultLitresAt20C: gauge.bulkLitresAt20C,
      resultStrengthPercentVol: gauge.strengthPercentVol,
      reachable: false,
      steps: [],
      message: `${trim.words} ${counted}`,
    };
  const { waterLitresAt20C, waterKg, vat } = trim;
  return {
    ...start,
    waterLitresAt20C,
    waterKg,
    resultLitresAt20C: vat.bulkLitresAt20C,
    resultStrengthPercentVol: vat.strengthPercentVol,
    reachable: true,
    steps: waterKg > 0 ? reductionSteps(gauge, vat.strengthPercentVol, STEP_PERCENT_VOL) : [],
    message: counted,
  };
}
