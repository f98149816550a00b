import type { LineageGraph } from '@rundlet/contracts';

type Node = LineageGraph['nodes'][number];
export interface Box {
  key: string;
  node: Node | null;
  /** How many nodes a gathered box stands for. */
  gathered: number;
  share: number;
  x: number;
  y: number;
}
export interface Tie {
  from: Box;
  to: Box;
  share: number;
}

export const BOX = { width: 172, height: 46, gapX: 60, gapY: 12 };
/** Beyond this many in one step, the smallest are gathered into one box. */
const MOST_IN_STEP = 12;
const STEPS: readonly Node['kind'][][] = [
  ['plot'],
  ['harvest-lot'],
  ['ferment'],
  ['still-run'],
  ['spirit-lot'],
  ['filling'],
  ['vat', 'blend'],
  ['bottling-run'],
];

/** Steps from left (plots) to right (the thing asked about); the largest shares stand at the top. */
export function layOut(graph: LineageGraph): {
  boxes: Box[];
  ties: Tie[];
  width: number;
  height: number;
} {
  const boxes: Box[] = [];
  const boxOf = new Map<string, Box>();
  let x = 0;
  let height = 0;
  for (const kinds of STEPS) {
    const nodes = graph.nodes
      .filter((n) => kinds.includes(n.kind))
      .sort((a, b) => b.share - a.share || (a.code < b.code ? -1 : 1));
    if (nodes.length === 0) continue;
    const shown = nodes.length > MOST_IN_STEP ? nodes.slice(0, MOST_IN_STEP - 1) : nodes;
    shown.forEach((node, i) => {
      const box = {
        key: node.key,
        node,
        gathered: 1,
        share: node.share,
        x,
        y: i * (BOX.height + BOX.gapY),
      };
      boxes.push(box);
      boxOf.set(node.key, box);
    });
    const rest = nodes.slice(shown.length);
    if (rest.length > 0) {
      const box = {
        key: `rest:${kinds.join()}`,
        node: null,
        gathered: rest.length,
        share: rest.reduce((s, n) => s + n.share, 0),
        x,
        y: shown.length * (BOX.height + BOX.gapY),
      };
      boxes.push(box);
      for (const node of rest) boxOf.set(node.key, box);
    }
    height = Math.max(height, (shown.length + (rest.length > 0 ? 1 : 0)) * (BOX.height + BOX.gapY));
    x += BOX.width + BOX.gapX;
  }
  const ties = new Map<string, Tie>();
  for (const arrow of graph.arrows) {
    const [from, to] = [boxOf.get(arrow.from), boxOf.get(arrow.to)];
    if (!from || !to) continue;
    const key = `${from.key}>${to.key}`;
    ties.set(key, { from, to, share: (ties.get(key)?.share ?? 0) + arrow.share });
  }
  return { boxes, ties: [...ties.values()], width: Math.max(BOX.width, x - BOX.gapX), height };
}
