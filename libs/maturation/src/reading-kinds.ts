import {
  COPIED,
  GOOD,
  isBlunder,
  KIND_SHARE,
  LITRES_WRONG,
  OTHER_CASK,
  SLOPPY,
  STRENGTH_WRONG,
  UNCORRECTED,
  type FilterModel,
} from './filter-model.ts';
import type { Innovation } from './filter-workspace.ts';
import { SLOPPY_SCALE, SLOPPY_SHARE } from './priors.ts';
import type { Reading } from './segments.ts';

/** What of a reading's likelihood does not depend on the hypothesis. */
export interface ReadingFacts {
  noiseLitres: number;
  noiseStrength: number;
  /** kinds to be weighed */
  kinds: number[];
  lnGood: number;
  lnOtherCask: number;
  lnLitresWrong: number;
  lnStrengthWrong: number;
  lnUncorrected: number;
  lnCopied: number;
}

const LN_2PI = Math.log(2 * Math.PI);
/** ln density of a mistyped strength */
const LN_ANY_STRENGTH = Math.log(1 / 40);
/** ln density of a copy: readings are written to 0.1 L and 0.1 % vol */
const LN_COPY = Math.log(100);
/** how well the usual correction of hydrometers describes what was left out, relative */
const UNCORRECTED_SD = 0.08;
const LN_SLOPPY = Math.log(SLOPPY_SHARE);
/** what a careless reading adds, in units of the usual variance */
const WIDER = SLOPPY_SCALE ** 2 - 1;

export const litresNoise = (r: Reading, model: FilterModel): number => {
  const u2 = r.uLitres * r.uLitres;
  return r.dip ? u2 * (1 - model.dipBiasShare) * model.dipScale * model.dipScale : u2;
};

export const strengthNoise = (r: Reading, model: FilterModel): number =>
  (r.uStrength * model.strengthScale) ** 2;

/** % vol by which a straight line misses the strength of a cask that has all but run dry */
const RAN_DRY_STRENGTH = 10;

/**
 * Variance of strength for a reading far below the nominal course: what is left of a leaking cask has
 * more wall a litre, and its strength goes its own way.
 */
const ranDryNoise = (litres: number, nominalLitres: number): number => {
  const gone = nominalLitres > 0 ? Math.max(0, 1 - litres / nominalLitres) : 0;
  return (RAN_DRY_STRENGTH * gone ** 3) ** 2;
};

export const uncorrectedNoise = (shift: number): number => (UNCORRECTED_SD * shift) ** 2 + 0.01;

/** ln density of litres that have nothing to do with this cask's content */
const lnAnyLitres = (litres: number, capacity: number): number =>
  litres >= 0 && litres <= 1.15 * capacity
    ? Math.log(0.9 / (1.15 * capacity))
    : Math.log(0.1 / (10 * capacity));

/** a cask below this share of its capacity is rare, and rarely mistaken for another */
const LOW_SHARE = 0.3;
const LOW_CHANCE = 0.03;

/** ln density of the litres of another cask: few stand nearly empty */
const lnOtherLitres = (litres: number, capacity: number): number =>
  litres >= LOW_SHARE * capacity
    ? lnAnyLitres(litres, capacity)
    : Math.log(LOW_CHANCE / (LOW_SHARE * capacity));

export function readingFacts(
  r: Reading,
  earlier: readonly Reading[],
  model: FilterModel,
  capacity: number,
  nominalLitres: number,
): ReadingFacts {
  const copied = earlier.some(
    (o) => Math.abs(o.litres - r.litres) < 0.051 && Math.abs(o.strength - r.strength) < 0.051,
  );
  const anyLitres = lnAnyLitres(r.litres, capacity);
  const wide = 2 * model.sdStrength;
  const otherStrength =
    -0.5 * (LN_2PI + 2 * Math.log(wide) + ((r.strength - model.meanStrength) / wide) ** 2);
  const ln = (kind: number): number => Math.log(model.blunderShare * KIND_SHARE[kind]!);
  const open = [GOOD, OTHER_CASK, LITRES_WRONG, STRENGTH_WRONG, SLOPPY];
  if (r.uncorrected !== null) open.push(UNCORRECTED);
  if (copied) open.push(COPIED);
  return {
    noiseLitres: litresNoise(r, model),
    noiseStrength: strengthNoise(r, model) + ranDryNoise(r.litres, nominalLitres),
    kinds:
      r.verdict === 'dismissed'
        ? [OTHER_CASK]
        : r.verdict === 'confirmed'
          ? open.filter((k) => !isBlunder(k))
          : open,
    lnGood: Math.log(1 - model.blunderShare - SLOPPY_SHARE),
    lnOtherCask: ln(OTHER_CASK) + lnOtherLitres(r.litres, capacity) + otherStrength,
    lnLitresWrong: ln(LITRES_WRONG) + anyLitres,
    lnStrengthWrong: ln(STRENGTH_WRONG) + LN_ANY_STRENGTH,
    lnUncorrected: ln(UNCORRECTED),
    lnCopied: ln(COPIED) + LN_COPY,
  };
}

const lnNormal2 = (x: number, y: number, xx: number, xy: number, yy: number): number => {
  const det = Math.max(xx * yy - xy * xy, 1e-12);
  return -LN_2PI - 0.5 * Math.log(det) - (x * x * yy - 2 * x * y * xy + y * y * xx) / (2 * det);
};

const lnNormal = (x: number, xx: number): number => -0.5 * (LN_2PI + Math.log(xx) + (x * x) / xx);

/** Squared distance of a reading from what was expected, in its own covariance. */
export const distance2 = ({ dv, ds, vv, vs, ss }: Innovation): number => {
  const det = Math.max(vv * ss - vs * vs, 1e-12);
  return (dv * dv * ss - 2 * dv * ds * vs + ds * ds * vv) / det;
};

/** ln likelihood of a reading come about in a given way. */
export function lnLikelihood(
  kind: number,
  facts: ReadingFacts,
  r: Reading,
  { dv, ds, vv, vs, ss }: Innovation,
): number {
  switch (kind) {
    case GOOD:
      return facts.lnGood + lnNormal2(dv, ds, vv, vs, ss);
    case SLOPPY: {
      const v = vv + WIDER * facts.noiseLitres;
      return LN_SLOPPY + lnNormal2(dv, ds, v, vs, ss + WIDER * facts.noiseStrength);
    }
    case OTHER_CASK:
      return facts.lnOtherCask;
    case LITRES_WRONG:
      return facts.lnLitresWrong + lnNormal(ds, ss);
    case STRENGTH_WRONG:
      return facts.lnStrengthWrong + lnNormal(dv, vv);
    case UNCORRECTED: {
      const shift = r.uncorrected!;
      return facts.lnUncorrected + lnNormal2(dv, ds - shift, vv, vs, ss + uncorrectedNoise(shift));
    }
    default:
      return facts.lnCopied;
  }
}
