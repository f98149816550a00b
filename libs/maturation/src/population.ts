import type { Population, PopulationEffect } from './answers.ts';
import { DEFAULT_FILTER_MODEL, type FilterModel } from './filter-model.ts';
import { packSymmetric, unpackSymmetric } from './matrix.ts';
import {
  createMixedModel,
  factorOf,
  LOT_COMPONENTS,
  type Member,
  type MixedModel,
  predictMember,
} from './mixed-model.ts';
import {
  CASK_CORRELATION,
  CASK_SD,
  FACTOR_SD,
  PRIOR_MEAN,
  THETA,
  THETA_COUNT as T,
} from './priors.ts';

/** Working form of what is known of the estate. */
export interface Estate {
  mixed: MixedModel;
  /** covariance of one cask about its group mean, T × T */
  cask: Float64Array;
  filter: FilterModel;
}

export function priorCaskCovariance(): Float64Array {
  const cask = new Float64Array(T * T);
  for (let k = 0; k < T; k++) cask[k * T + k] = CASK_SD[k]! ** 2;
  const both = CASK_CORRELATION * CASK_SD[0]! * CASK_SD[1]!;
  cask[1] = both;
  cask[T] = both;
  return cask;
}

export function priorEstate(groups: Iterable<string> = ['site']): Estate {
  return {
    mixed: createMixedModel(groups),
    cask: priorCaskCovariance(),
    filter: { ...DEFAULT_FILTER_MODEL },
  };
}

/** Prior of one cask: its groups' mean, and the doubt about it plus the cask's own spread. */
export function caskPrior(
  estate: Estate,
  member: Member,
): { mean: Float64Array; covariance: Float64Array; groupCovariance: Float64Array } {
  const { mean, covariance } = predictMember(estate.mixed, member);
  const full = covariance.slice();
  for (let i = 0; i < T * T; i++) full[i]! += estate.cask[i]!;
  // groups nobody has calibrated yet are as doubtful as the hierarchy allows
  for (const group of member.groups) {
    if (estate.mixed.levels.has(group)) continue;
    const sd = FACTOR_SD[factorOf(group)];
    if (sd) for (let k = 0; k < T; k++) full[k * T + k]! += sd[k]! ** 2;
  }
  return { mean, covariance: full, groupCovariance: covariance };
}

export const POPULATION_VERSION = 1;

/** To JSON. */
export function describePopulation(
  estate: Estate,
  rest: Pick<Population, 'fillings' | 'regauges' | 'status' | 'iterations'>,
): Population {
  const { mixed } = estate;
  const effects: PopulationEffect[] = [];
  for (const [name, level] of mixed.levels) {
    for (let k = 0; k < T; k++) {
      const c = level.columns[k]!;
      if (c < 0) continue;
      effects.push({
        name,
        quantity: THETA[k]!,
        estimate: mixed.beta[c]! + (name === 'site' ? PRIOR_MEAN[k]! : 0),
        standardError: Math.sqrt(mixed.covariance[c * mixed.size + c]!),
        prior: name === 'site' ? PRIOR_MEAN[k]! : 0,
      });
    }
  }
  return {
    version: POPULATION_VERSION,
    ...rest,
    effects,
    parameters: { ...estate.filter },
    hierarchy: {
      groups: [...mixed.levels.keys()],
      beta: [...mixed.beta],
      covariance: packSymmetric(mixed.covariance, mixed.size),
      cask: packSymmetric(estate.cask, T),
      lotVariance: [...mixed.lotVariance],
      lots: [...mixed.lots.values()].map((lot) => ({
        name: lot.name,
        members: lot.members,
        inverse: packSymmetric(lot.inverse, LOT_COMPONENTS.length),
        own: [...lot.own],
        lean: sparse(lot.lean),
      })),
    },
  };
}

function sparse(values: Float64Array): [number, number][] {
  const pairs: [number, number][] = [];
  values.forEach((v, i) => {
    if (v !== 0) pairs.push([i, v]);
  });
  return pairs;
}

const working = new WeakMap<Population, Estate>();

/** From JSON, kept for as long as the population object lives. */
export function estateOf(population: Population): Estate {
  let estate = working.get(population);
  if (estate) return estate;
  if (population.version !== POPULATION_VERSION) {
    throw new RangeError(
      `population of version ${String(population.version)}; this library reads ${String(POPULATION_VERSION)}: calibrate again`,
    );
  }
  const h = population.hierarchy;
  const mixed = createMixedModel(h.groups);
  mixed.beta = Float64Array.from(h.beta);
  mixed.covariance = unpackSymmetric(h.covariance, mixed.size);
  mixed.lotVariance = Float64Array.from(h.lotVariance);
  const L = LOT_COMPONENTS.length;
  for (const lot of h.lots) {
    const lean = new Float64Array(L * mixed.size);
    for (const [i, v] of lot.lean) lean[i] = v;
    mixed.lots.set(lot.name, {
      name: lot.name,
      members: lot.members,
      inverse: unpackSymmetric(lot.inverse, L),
      own: Float64Array.from(lot.own),
      lean,
    });
  }
  estate = {
    mixed,
    cask: unpackSymmetric(h.cask, T),
    filter: { ...DEFAULT_FILTER_MODEL, ...(population.parameters as Partial<FilterModel>) },
  };
  working.set(population, estate);
  return estate;
}
