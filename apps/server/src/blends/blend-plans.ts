import { Injectable } from '@nestjs/common';
import { liquidFromVolume, mix, volumeOfLiquid, type Liquid } from '@rundlet/alcoholometry';
import { reductionSteps, trimAtVat } from '@rundlet/blending';
import {
  BlendRequest,
  type AnswerOf,
  type api,
  type BlendPlanRecord,
  type HistoryLine,
  type PlanView,
} from '@rundlet/contracts';
import { liquidOf } from '@rundlet/domain';
import { z } from 'zod';
import { Records } from '../database/records.ts';
import { History } from '../journal/history.ts';
import { windowsOf } from './blend-problem.ts';
import { PickLists } from './pick-list.ts';

type TrimView = AnswerOf<typeof api.blends.trim>;

/** Windows of a plan that was saved without the request that made it. */
const USUAL_TOLERANCE = { volumeTolerancePercent: 0.5, strengthTolerancePercentVol: 0.05 };
/** Entries that are shown of a plan. */
const MOST_LINES = 500;
/** What is done to the vat itself for a plan. */
const VAT_WORK = new Set(['vat.reduce', 'vat.gauge']);

/** Saved plans: pick lists and the water still to add. */
@Injectable()
export class BlendPlans {
  constructor(
    private readonly records: Records,
    private readonly pickLists: PickLists,
    private readonly history: History,
  ) {}

  async view(id: string): Promise<PlanView> {
    const plan = await this.records.need('blend-plan', id);
    const [list, vat, history] = await Promise.all([
      this.pickLists.of(plan),
      this.records.find('vat', plan.vatId),
      this.#historyOf(plan),
    ]);
    const last = (kind: string) =>
      history.find((line) => line.kind === kind && line.reversedBy === null)?.happenedAt ?? null;
    return {
      plan,
      ...list,
      vat: vat && {
        code: vat.code,
        name: vat.name,
        figures: vat.figures,
        lastReducedAt: last('vat.reduce'),
        lastGaugedAt: last('vat.gauge'),
      },
      history,
    };
  }

  /** What was done for the plan itself, and to its vat while its casks were being drawn. */
  async #historyOf(plan: BlendPlanRecord): Promise<HistoryLine[]> {
    const own = await this.history.about([`blend-plan:${plan.id}`], MOST_LINES);
    const reserved = own.find(({ kind }) => kind === 'plan.reserve');
    if (!reserved || !plan.vatId) return own;
    const until = own.find(({ kind }) => kind === 'plan.complete')?.seq ?? Infinity;
    const ofVat = await this.history.about([`vat:${plan.vatId}`], MOST_LINES);
    const known = new Set(own.map(({ id }) => id));
    return [
      ...own,
      ...ofVat.filter(
        ({ id, seq, kind }) =>
          VAT_WORK.has(kind) && seq > reserved.seq && seq < until && !known.has(id),
      ),
    ].sort((a, b) => b.seq - a.seq);
  }

  /** From what is in the vat by the book now, with the casks not drawn yet counted as planned. */
  async trim(id: string, stepPercentVol: number): Promise<TrimView> {
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
    return trimView(plan, liquid, counted, stepPercentVol);
  }
}

/** What a trim needs of the wishes; the rest of them may have been asked in an earlier form. */
const TrimWishes = z.looseObject({
  target: BlendRequest.shape.target,
  water: BlendRequest.shape.water,
  mostWaterLitres: BlendRequest.shape.mostWaterLitres,
});

function trimView(
  plan: BlendPlanRecord,
  liquid: Liquid,
  counted: string,
  stepPercentVol: number,
): TrimView {
  const asked = TrimWishes.safeParse(plan.request);
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
      leastWaterLitresAt20C: null,
      mostWaterLitresAt20C: null,
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
    leastWaterLitresAt20C: trim.leastWaterLitresAt20C,
    mostWaterLitresAt20C: trim.mostWaterLitresAt20C,
    reachable: true,
    steps: waterKg > 0 ? reductionSteps(gauge, vat.strengthPercentVol, stepPercentVol) : [],
    message: counted,
  };
}
