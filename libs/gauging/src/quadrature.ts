/**
 * Nodes and weights of the double-exponential (tanh-sinh) rule on [0, 1]. The integrands here end in
 * powers 1/2 and 3/2 where the liquid's surface meets a stave; this rule does not mind, and its nodes
 * are measured from the nearer end so that nothing is lost there.
 *
 * @see H. Takahasi and M. Mori, Publ. RIMS Kyoto Univ. 9 (1974) 721.
 */
const STEP = 1 / 10;
const REACH = 3.4;

type Node = { readonly fromLow: number; readonly fromHigh: number; readonly weight: number };

const NODES: readonly Node[] = (() => {
  const nodes: Node[] = [];
  const count = Math.round(REACH / STEP);
  for (let i = -count; i <= count; i++) {
    const s = i * STEP;
    const g = (Math.PI / 2) * Math.sinh(s);
    const fromHigh = 1 / (1 + Math.exp(2 * g));
    const fromLow = 1 / (1 + Math.exp(-2 * g));
    nodes.push({
      fromLow,
      fromHigh,
      weight: STEP * Math.PI * Math.cosh(s) * fromLow * fromHigh,
    });
  }
  return nodes;
})();

/** Integral of `f` from 0 to `end`; `f` gets the place and its distance from `end`. */
export function integrate(f: (x: number, fromEnd: number) => number, end: number): number {
  let sum = 0;
  for (const node of NODES) {
    sum += node.weight * f(node.fromLow * end, node.fromHigh * end);
  }
  return sum * end;
}
