import type { PosteriorComponent } from './answers.ts';
import { diagonal, LEAK, N } from './gaussian-pool.ts';

/** explanations whose states lie this near to each other, in standard deviations, count as one */
const ALIKE = 0.7;
/** quantities by which explanations are compared: ethanol, water, ln k_w, ln k_e, drift, bias, leak */
const COMPARED = [0, 1, 2, 3, 5, LEAK - 1, LEAK] as const;

/** Place of the explanation with the most weight; the first of equals. */
export function likeliest(components: readonly PosteriorComponent[]): number {
  let top = 0;
  components.forEach(({ weight }, i) => {
    if (weight > components[top]!.weight) top = i;
  });
  return top;
}

/**
 * The same belief in fewer Gaussians: explanations that foretell the same are taken together, mean and
 * covariance kept. A reading taken for good or for careless seldom makes two futures; a leak does.
 */
export function mergeAlike(components: readonly PosteriorComponent[]): PosteriorComponent[] {
  if (components.length < 2) return [...components];
  const left = [...components].sort((a, b) => b.weight - a.weight);
  const out: PosteriorComponent[] = [];
  while (left.length > 0) {
    const head = left.shift()!;
    const group = [head];
    for (let i = left.length - 1; i >= 0; i--) {
      if (alike(head, left[i]!)) group.push(...left.splice(i, 1));
    }
    out.push(group.length === 1 ? head : together(group));
  }
  return out;
}

function alike(a: PosteriorComponent, b: PosteriorComponent): boolean {
  if (a.mean[LEAK]! > 0 !== b.mean[LEAK]! > 0) return false;
  return COMPARED.every((k) => {
    const d = a.mean[k]! - b.mean[k]!;
    const variance = a.covariance[diagonal(k)]! + b.covariance[diagonal(k)]!;
    return d * d <= ALIKE * ALIKE * 0.5 * variance + 1e-18;
  });
}

function together(group: readonly PosteriorComponent[]): PosteriorComponent {
  const weight = group.reduce((sum, c) => sum + c.weight, 0);
  const mean = group[0]!.mean.map((_, k) =>
    group.reduce((sum, c) => sum + (c.weight / weight) * c.mean[k]!, 0),
  );
  const covariance = new Array<number>(group[0]!.covariance.length).fill(0);
  for (const c of group) {
    const p = c.weight / weight;
    let n = 0;
    for (let a = 0; a < N; a++) {
      const da = c.mean[a]! - mean[a]!;
      for (let b = 0; b <= a; b++, n++) {
        covariance[n]! += p * (c.covariance[n]! + da * (c.mean[b]! - mean[b]!));
      }
    }
  }
  return { ...group[0]!, weight, mean, covariance };
}
