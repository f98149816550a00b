import { choleskyInPlace, choleskySolve, inverseOfSymmetric } from './matrix.ts';
import { FACTOR_SD, PRIOR_MEAN, THETA_COUNT as T } from './priors.ts';

/**
 * The hierarchy as one Gaussian model: θ of a cask = prior mean + Σ offsets of its groups + its own
 * departure. Every offset has a normal prior, so that a level seen in one cask stays near nought and
 * one seen in a thousand speaks for itself. Cooper lots, of which there may be thousands, are
 * eliminated block by block (Schur complement); everything else is solved densely.
 */

const TT = T * T;
/** components in which lots differ */
export const LOT_COMPONENTS = FACTOR_SD['lot']!.map((sd, k) => (sd > 0 ? k : -1)).filter(
  (k) => k >= 0,
);
const L = LOT_COMPONENTS.length;

export interface Member {
  /** groups but its lot, site first */
  groups: readonly string[];
  lot: string | null;
  /** the two together: members alike share one prediction */
  key: string;
}

/** Mean and covariance (T × T) of a member's group mean. */
export interface Prediction {
  mean: Float64Array;
  covariance: Float64Array;
}

/** Columns of a group by component; −1 where it does not vary. */
interface Level {
  factor: string;
  columns: Int32Array;
}

interface LotBlock {
  name: string;
  members: number;
  inverse: Float64Array;
  /** A⁻¹ B, L × K */
  lean: Float64Array;
  /** A⁻¹ g */
  own: Float64Array;
  /** lean × the covariance of β, L × K: worked out when first asked for */
  leanCovariance?: Float64Array;
}

export interface MixedModel {
  levels: Map<string, Level>;
  size: number;
  beta: Float64Array;
  covariance: Float64Array;
  lots: Map<string, LotBlock>;
  lotVariance: Float64Array;
  /** predictions made since the last solution, by member key */
  predictions: Map<string, Prediction>;
}

export const factorOf = (group: string): string => {
  const at = group.indexOf(':');
  return at < 0 ? group : group.slice(0, at);
};

/** Lays out columns for all groups named. Before `solve` it stands at the priors. */
export function createMixedModel(groupNames: Iterable<string>): MixedModel {
  const levels = new Map<string, Level>();
  let size = 0;
  for (const name of groupNames) {
    if (levels.has(name)) continue;
    const factor = factorOf(name);
    const sd = FACTOR_SD[factor];
    if (!sd) throw new RangeError(`no factor "${factor}" in the hierarchy`);
    const columns = new Int32Array(T).fill(-1);
    for (let k = 0; k < T; k++) if (sd[k]! > 0) columns[k] = size++;
    levels.set(name, { factor, columns });
  }
  const covariance = new Float64Array(size * size);
  for (const level of levels.values()) {
    for (let k = 0; k < T; k++) {
      const c = level.columns[k]!;
      if (c >= 0) covariance[c * size + c] = FACTOR_SD[level.factor]![k]! ** 2;
    }
  }
  return {
    levels,
    size,
    beta: new Float64Array(size),
    covariance,
    lots: new Map(),
    lotVariance: Float64Array.from(LOT_COMPONENTS, (k) => FACTOR_SD['lot']![k]! ** 2),
    predictions: new Map(),
  };
}

/** Columns of β that make up component k of a member, in order. */
export function columnsOf(model: MixedModel, member: Member): number[][] {
  const columns: number[][] = Array.from({ length: T }, () => []);
  for (const group of member.groups) {
    const level = model.levels.get(group);
    if (!level) continue;
    for (let k = 0; k < T; k++) if (level.columns[k]! >= 0) columns[k]!.push(level.columns[k]!);
  }
  return columns;
}

/** What a member's readings say about its group mean: information matrix and vector. */
export interface Evidence {
  member: Member;
  information: Float64Array;
  vector: Float64Array;
}

/** Solves for all offsets given the evidence of the members; keeps the current lot variances. */
export function solveMixedModel(model: MixedModel, evidence: readonly Evidence[]): void {
  const K = model.size;
  const H = new Float64Array(K * K);
  const g = new Float64Array(K);
  for (const level of model.levels.values()) {
    for (let k = 0; k < T; k++) {
      const c = level.columns[k]!;
      if (c >= 0) H[c * K + c] = 1 / FACTOR_SD[level.factor]![k]! ** 2;
    }
  }
  const blocks = new Map<
    string,
    { A: Float64Array; B: Float64Array; g: Float64Array; n: number }
  >();
  const centred = new Float64Array(T);
  for (const { member, information: M, vector } of evidence) {
    const columns = columnsOf(model, member);
    for (let a = 0; a < T; a++) {
      let v = vector[a]!;
      for (let b = 0; b < T; b++) v -= M[a * T + b]! * PRIOR_MEAN[b]!;
      centred[a] = v;
    }
    for (let a = 0; a < T; a++) {
      for (const ca of columns[a]!) {
        g[ca]! += centred[a]!;
        for (let b = 0; b < T; b++) {
          const m = M[a * T + b]!;
          if (m !== 0) for (const cb of columns[b]!) H[ca * K + cb]! += m;
        }
      }
    }
    if (member.lot === null) continue;
    let block = blocks.get(member.lot);
    if (!block) {
      block = {
        A: new Float64Array(L * L),
        B: new Float64Array(L * K),
        g: new Float64Array(L),
        n: 0,
      };
      for (let i = 0; i < L; i++) block.A[i * L + i] = 1 / model.lotVariance[i]!;
      blocks.set(member.lot, block);
    }
    block.n++;
    for (let i = 0; i < L; i++) {
      const a = LOT_COMPONENTS[i]!;
      block.g[i]! += centred[a]!;
      for (let j = 0; j < L; j++) block.A[i * L + j]! += M[a * T + LOT_COMPONENTS[j]!]!;
      for (let b = 0; b < T; b++) {
        const m = M[a * T + b]!;
        if (m !== 0) for (const cb of columns[b]!) block.B[i * K + cb]! += m;
      }
    }
  }
  model.lots.clear();
  model.predictions.clear();
  for (const [name, { A, B, g: gl, n }] of blocks) {
    const inverse = inverseOfSymmetric(A, L);
    const lean = new Float64Array(L * K);
    const own = new Float64Array(L);
    const used: number[] = [];
    for (let c = 0; c < K; c++) {
      let any = false;
      for (let i = 0; i < L; i++) any ||= B[i * K + c] !== 0;
      if (any) used.push(c);
    }
    for (let i = 0; i < L; i++) {
      for (let j = 0; j < L; j++) {
        const f = inverse[i * L + j]!;
        own[i]! += f * gl[j]!;
        for (const c of used) lean[i * K + c]! += f * B[j * K + c]!;
      }
    }
    for (const c of used) {
      for (let i = 0; i < L; i++) {
        const b = B[i * K + c]!;
        if (b === 0) continue;
        g[c]! -= b * own[i]!;
        for (const d of used) H[c * K + d]! -= b * lean[i * K + d]!;
      }
    }
    model.lots.set(name, { name, members: n, inverse, lean, own });
  }
  const factor = H.slice();
  choleskyInPlace(factor, K);
  model.beta = g.slice();
  choleskySolve(factor, K, model.beta);
  model.covariance = inverseOfSymmetric(H, K);
}

/** The group mean of a member. Do not change what it returns: members alike share it. */
export function predictMember(model: MixedModel, member: Member): Prediction {
  let prediction = model.predictions.get(member.key);
  if (!prediction) {
    prediction = predict(model, member);
    model.predictions.set(member.key, prediction);
  }
  return prediction;
}

function predict(model: MixedModel, member: Member): Prediction {
  const K = model.size;
  const mean = Float64Array.from(PRIOR_MEAN);
  const covariance = new Float64Array(TT);
  const columns = columnsOf(model, member);
  for (let a = 0; a < T; a++) {
    for (const c of columns[a]!) mean[a]! += model.beta[c]!;
    for (let b = 0; b <= a; b++) {
      let sum = 0;
      for (const c of columns[a]!) {
        for (const d of columns[b]!) sum += model.covariance[c * K + d]!;
      }
      covariance[a * T + b] = sum;
      covariance[b * T + a] = sum;
    }
  }
  const block = member.lot === null ? undefined : model.lots.get(member.lot);
  if (block) addLot(model, block, columns, mean, covariance);
  else if (member.lot !== null) {
    LOT_COMPONENTS.forEach((k, i) => (covariance[k * T + k]! += model.lotVariance[i]!));
  }
  return { mean, covariance };
}

/** What a gauged lot adds to its members' mean: its own offset, less what leans on the β of the others. */
function addLot(
  model: MixedModel,
  block: LotBlock,
  columns: readonly (readonly number[])[],
  mean: Float64Array,
  covariance: Float64Array,
): void {
  const K = model.size;
  const { lean, inverse, own } = block;
  const leanCovariance = (block.leanCovariance ??= timesCovariance(model, lean));
  for (let i = 0; i < L; i++) {
    const k = LOT_COMPONENTS[i]!;
    mean[k]! += own[i]!;
    for (let c = 0; c < K; c++) mean[k]! -= lean[i * K + c]! * model.beta[c]!;
    for (let b = 0; b < T; b++) {
      let both = 0;
      for (const d of columns[b]!) both += leanCovariance[i * K + d]!;
      covariance[k * T + b]! -= both;
      covariance[b * T + k]! -= both;
    }
    for (let j = 0; j < L; j++) {
      let both = inverse[i * L + j]!;
      for (let c = 0; c < K; c++) both += leanCovariance[i * K + c]! * lean[j * K + c]!;
      covariance[k * T + LOT_COMPONENTS[j]!]! += both;
    }
  }
}

/** lean × the covariance of β, L × K. */
function timesCovariance(model: MixedModel, lean: Float64Array): Float64Array {
  const K = model.size;
  const out = new Float64Array(L * K);
  for (let i = 0; i < L; i++) {
    for (let c = 0; c < K; c++) {
      const by = lean[i * K + c]!;
      if (by === 0) continue;
      for (let d = 0; d < K; d++) out[i * K + d]! += by * model.covariance[c * K + d]!;
    }
  }
  return out;
}

/** Re-estimates the lots' variances from their offsets; `weight` lots' worth of prior belief. */
export function updateLotVariance(model: MixedModel, weight: number): void {
  const K = model.size;
  for (let i = 0; i < L; i++) {
    const prior = FACTOR_SD['lot']![LOT_COMPONENTS[i]!]! ** 2;
    let sum = weight * prior;
    let n = weight;
    for (const block of model.lots.values()) {
      if (block.members < 2) continue;
      let offset = block.own[i]!;
      let variance = block.inverse[i * L + i]!;
      for (let c = 0; c < K; c++) {
        const lean = block.lean[i * K + c]!;
        if (lean === 0) continue;
        offset -= lean * model.beta[c]!;
        for (let d = 0; d < K; d++) {
          const other = block.lean[i * K + d]!;
          if (other !== 0) variance += lean * other * model.covariance[c * K + d]!;
        }
      }
      sum += offset * offset + variance;
      n++;
    }
    model.lotVariance[i] = sum / n;
  }
}
