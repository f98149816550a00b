import { massFractionFromStrength, waterDensity20C } from '@rundlet/alcoholometry';
import type { Aim, CharacterFeature, ClosenessAim, TargetAim } from './aim.ts';
import { scoreOf, shareMatching } from './attribute.ts';
import type { Family, Level } from './blend-model.ts';
import type { Formulation } from './formulate.ts';
import type { BlendProblem } from './problem.ts';
import { wishOf } from './problem-check.ts';
import { ETHANOL_KG_PER_LPA } from './stock.ts';
import type { StrengthWish, VolumeWish } from './wish.ts';

type LevelMaker = (globalCount: number, families: readonly Family[]) => Level;

export function targetLitres(wish: VolumeWish): number {
  return wish.targetLitresAt20C ?? (wish.lowLitresAt20C + wish.highLitresAt20C) / 2;
}

export function targetStrength(wish: StrengthWish): number {
  return wish.targetPercentVol ?? (wish.lowPercentVol + wish.highPercentVol) / 2;
}

/** Litres of pure alcohol at the targets: what closeness is measured against. */
export function targetLpa(f: Pick<Formulation, 'problem'>): number {
  return (
    (targetLitres(wishOf(f.problem, 'volume')) * targetStrength(wishOf(f.problem, 'strength'))) /
    100
  );
}

/**
 * The costs of each priority level, first level first. Deviation columns are added to the rows at
 * once; the arrays follow when the number of columns is known.
 */
export function aimLevels(f: Formulation): LevelMaker[] {
  return prioritiesOf(f.problem).map((priority) => {
    const draft = new LevelDraft(f);
    for (const aim of f.problem.aims) if ((aim.priority ?? 1) === priority) draft.add(aim);
    return (globalCount, families) => draft.level(priority, globalCount, families);
  });
}

/** The priorities of a problem's aims, the first level's first. */
export function prioritiesOf({ aims }: BlendProblem): number[] {
  const priorities = [...new Set(aims.map((aim) => aim.priority ?? 1))].sort((a, b) => a - b);
  return priorities.length > 0 ? priorities : [1];
}

class LevelDraft {
  readonly #f: Formulation;
  readonly #perFraction: Float64Array;
  readonly #perOpened: Float64Array;
  readonly #perGlobal = new Map<number, number>();
  readonly #perFamily = new Map<number, number>();
  #perHeelLitre = 0;

  constructor(f: Formulation) {
    this.#f = f;
    this.#perFraction = new Float64Array(f.blocks.count);
    this.#perOpened = new Float64Array(f.blocks.count);
  }

  add(aim: Aim): void {
    const weight = aim.weight ?? 1;
    switch (aim.kind) {
      case 'cost':
        this.#eachBlock((b, i) => {
          const { costPerLitrePureAlcohol } = this.#f.stock.casks[i]!;
          this.#perFraction[b]! +=
            weight * costPerLitrePureAlcohol * this.#f.stock.litresPureAlcohol[i]!;
        });
        this.#addGlobal(
          this.#f.water,
          (weight * (aim.waterCostPerLitre ?? 0) * 1000) / waterDensity20C,
        );
        return;
      case 'future':
        this.#eachBlock((b, i) => {
          this.#perFraction[b]! += weight * (this.#f.stock.casks[i]!.valueLeftBehind ?? 0);
        });
        return;
      case 'at-risk':
        this.#eachBlock((b, i) => {
          this.#perFraction[b]! -=
            weight * (this.#f.stock.casks[i]!.atRisk ?? 0) * this.#f.stock.litresPureAlcohol[i]!;
        });
        return;
      case 'movements':
        this.#eachBlock((b) => {
          this.#perOpened[b]! += weight * (aim.perCask ?? 1);
        });
        if ((aim.perRow ?? 0) > 0) {
          const family = this.#f.families.addCost('location.row');
          this.#perFamily.set(family, (this.#perFamily.get(family) ?? 0) + weight * aim.perRow!);
        }
        return;
      case 'heels':
        this.#perHeelLitre += weight;
        return;
      case 'closeness':
        this.#addCloseness(aim, weight);
        return;
      case 'target':
        this.#addTarget(aim, weight);
        return;
    }
  }

  level(priority: number, globalCount: number, families: readonly Family[]): Level {
    const perGlobal = new Float64Array(globalCount);
    for (const [column, cost] of this.#perGlobal) perGlobal[column] = cost;
    const perValue = new Float64Array(families.length);
    for (const [family, cost] of this.#perFamily) perValue[family] = cost;
    return {
      priority,
      perFraction: this.#perFraction,
      perOpened: this.#perOpened,
      perHeelLitre: this.#perHeelLitre,
      perGlobal,
      perValue,
    };
  }

  #addCloseness(aim: ClosenessAim, weight: number): void {
    const { rows, blocks, stock } = this.#f;
    for (const feature of aim.features) {
      const row = rows.addRow(null, 0, 0);
      let farthest = 0;
      for (let b = 0; b < blocks.count; b++) {
        const i = blocks.cask[b]!;
        const basis = feature.of === 'lpa' ? stock.litresPureAlcohol[i]! : stock.litres[i]!;
        const off = figureOf(feature, stock.casks[i]!) - feature.target;
        farthest = Math.max(farthest, Math.abs(off));
        rows.perFraction(row, b, basis * off);
      }
      // No more bulk leaves the casks than the vat's mass at the density of ethanol.
      const { litres, percentVol } = this.#f.reach;
      const most =
        feature.of === 'lpa' ? (litres[1] * percentVol[1]) / 100 : (litres[1] * 1000) / 789;
      this.#addDeviation(row, weight / (feature.scale * this.#referenceOf(feature)), {
        most: farthest * most,
      });
    }
  }

  /** What a feature's deviation is divided by: the alcohol or litres aimed at. */
  #referenceOf(feature: CharacterFeature): number {
    const lpa = targetLpa(this.#f);
    return feature.of === 'lpa' ? lpa : targetLitres(wishOf(this.#f.problem, 'volume'));
  }

  #addTarget(aim: TargetAim, weight: number): void {
    const { rows, problem, lpa, mass } = this.#f;
    const litres = targetLitres(wishOf(problem, 'volume'));
    const strength = targetStrength(wishOf(problem, 'strength'));
    if (aim.perLitre > 0) {
      const row = rows.addRow(null, litres, litres);
      this.#f.addVolume(row, 1);
      const [low, high] = this.#f.reach.litres;
      this.#addDeviation(row, weight * aim.perLitre, {
        most: 1.1 * Math.max(Math.abs(litres - low), Math.abs(high - litres)) + 1e-3 * high,
      });
    }
    if (aim.perPercentVol > 0) {
      const p = massFractionFromStrength(strength);
      // E − p·M is linear; near the target it is worth so many % vol for each kg.
      const slope = 1e-3 / (massFractionFromStrength(strength + 1e-3) - p);
      const massKg = (targetLpa(this.#f) * ETHANOL_KG_PER_LPA) / p;
      const row = rows.addRow(null, 0, 0);
      rows.perGlobal(row, lpa, ETHANOL_KG_PER_LPA);
      rows.perGlobal(row, mass, -p);
      this.#addDeviation(row, (weight * aim.perPercentVol * slope) / massKg, {
        most: this.#f.reach.litres[1],
      });
    }
  }

  /** row + under − over = right-hand side, each unit of under or over at a cost. */
  #addDeviation(row: number, cost: number, { most }: { most: number }): void {
    const { rows } = this.#f;
    for (const sign of [1, -1]) {
      const column = rows.addGlobal(sign > 0 ? 'under' : 'over', 0, most);
      rows.perGlobal(row, column, sign);
      this.#addGlobal(column, cost);
    }
  }

  #addGlobal(column: number, cost: number): void {
    if (cost !== 0) this.#perGlobal.set(column, (this.#perGlobal.get(column) ?? 0) + cost);
  }

  #eachBlock(visit: (block: number, cask: number) => void): void {
    const { blocks } = this.#f;
    for (let b = 0; b < blocks.count; b++) visit(b, blocks.cask[b]!);
  }
}

function figureOf(feature: CharacterFeature, cask: Parameters<typeof scoreOf>[0]): number {
  return feature.feature === 'score'
    ? (scoreOf(cask, feature.attribute) ?? feature.target)
    : shareMatching(cask, feature.attribute, feature.among);
}
