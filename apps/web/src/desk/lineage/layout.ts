import type { LineageGraph } from '@rundlet/contracts';
import { STEPS, type Direction } from './kinds.ts';

export type Node = LineageGraph['nodes'][number];
export interface Box {
  readonly key: string;
  readonly step: number;
  /** The one record it is; null for a group. */
  readonly node: Node | null;
  readonly title: string;
  /** How many records it stands for. */
  readonly members: number;
  readonly share: number;
  /** For a group: whether its members are shown below it. */
  readonly open: boolean | null;
  readonly x: number;
  readonly y: number;
}
export interface Tie {
  readonly from: Box;
  readonly to: Box;
  readonly share: number;
}
export interface Layout {
  readonly boxes: readonly Box[];
  readonly ties: readonly Tie[];
  readonly steps: readonly {
    readonly title: string;
    readonly members: number;
    readonly x: number;
  }[];
  readonly width: number;
  readonly height: number;
}

export const BOX = { width: 172, height: 48, gapX: 56, gapY: 10, headY: 28, indent: 12 };
/** So many of one step are told apart at a glance; more are gathered by what they have in common. */
const MOST_SINGLE = 8;
const MOST_GROUPS = 9;
/** An open group shows so many of its members; the table below has them all. */
const MOST_OPEN = 40;

interface Row {
  readonly key: string;
  readonly node: Node | null;
  readonly title: string;
  readonly nodes: readonly Node[];
  readonly open: boolean | null;
  readonly indent: boolean;
}

/** Steps from left (plots) to right (bottles); the largest shares stand at the top. */
export function layOut(
  graph: LineageGraph,
  open: ReadonlySet<string>,
  direction: Direction,
): Layout {
  const boxes: Box[] = [];
  const steps: { title: string; members: number; x: number }[] = [];
  const boxOf = new Map<string, Box>();
  let x = 0;
  let height = 0;
  for (const [step, { kinds, title }] of STEPS.entries()) {
    const nodes = graph.nodes.filter((n) => kinds.includes(n.kind)).sort(largestFirst);
    if (nodes.length === 0) continue;
    const rows = rowsOf(nodes, step, open);
    for (const [i, row] of rows.entries()) {
      const members = row.nodes.reduce((sum, n) => sum + n.members, 0);
      const whole = row.nodes.reduce((sum, n) => sum + n.share * n.members, 0);
      const box: Box = {
        key: row.key,
        step,
        node: row.node,
        title: row.title,
        members,
        // Back, shares of one liquid add up; forth, each is of another liquid, and a group has their mean.
        share: direction === 'back' ? whole : whole / members,
        open: row.open,
        x: x + (row.indent ? BOX.indent : 0),
        y: BOX.headY + i * (BOX.height + BOX.gapY),
      };
      boxes.push(box);
      // An open group's members come after it and take their ties with them.
      for (const node of row.nodes) boxOf.set(node.key, box);
    }
    steps.push({ title, members: nodes.reduce((sum, n) => sum + n.members, 0), x });
    height = Math.max(height, BOX.headY + rows.length * (BOX.height + BOX.gapY));
    x += BOX.width + BOX.indent + BOX.gapX;
  }
  return {
    boxes,
    ties: tiesBetween(graph, boxOf, direction),
    steps,
    width: Math.max(BOX.width, x - BOX.gapX),
    height,
  };
}

function rowsOf(nodes: readonly Node[], step: number, open: ReadonlySet<string>): Row[] {
  const single = (node: Node, indent = false): Row => ({
    key: node.key,
    node: node.members === 1 ? node : null,
    title: node.members === 1 ? node.name || node.code : node.group,
    nodes: [node],
    open: null,
    indent,
  });
  if (nodes.length <= MOST_SINGLE) return nodes.map((node) => single(node));
  const byGroup = new Map<string, Node[]>();
  for (const node of nodes) byGroup.set(node.group, [...(byGroup.get(node.group) ?? []), node]);
  const groups = [...byGroup]
    .map(([title, members]) => ({ title, members, share: sharesOf(members) }))
    .sort((a, b) => b.share - a.share || (a.title < b.title ? -1 : 1));
  const restKey = `rest:${String(step)}`;
  const restOpen = open.has(restKey);
  const shown =
    groups.length <= MOST_GROUPS || restOpen ? groups : groups.slice(0, MOST_GROUPS - 1);
  const rest = groups.length <= MOST_GROUPS ? [] : groups.slice(MOST_GROUPS - 1);
  const rows = shown.flatMap(({ title, members }): Row[] => {
    const [first] = members;
    if (members.length === 1 && first) return [single(first)];
    const key = `group:${String(step)}:${title}`;
    const isOpen = open.has(key);
    const group: Row = { key, node: null, title, nodes: members, open: isOpen, indent: false };
    if (!isOpen) return [group];
    const named = members.slice(0, MOST_OPEN);
    return [group, ...named.map((node) => single(node, true))];
  });
  if (rest.length > 0)
    rows.push({
      key: restKey,
      node: null,
      title: restOpen ? 'Fewer groups' : `${String(rest.length)} more groups`,
      nodes: restOpen ? [] : rest.flatMap(({ members }) => members),
      open: restOpen,
      indent: false,
    });
  return rows;
}

function tiesBetween(
  graph: LineageGraph,
  boxOf: ReadonlyMap<string, Box>,
  direction: Direction,
): Tie[] {
  const ties = new Map<string, { from: Box; to: Box; share: number }>();
  for (const arrow of graph.arrows) {
    const [from, to] = [boxOf.get(arrow.from), boxOf.get(arrow.to)];
    if (!from || !to) continue;
    const key = `${from.key}>${to.key}`;
    const tie = ties.get(key) ?? { from, to, share: 0 };
    tie.share += direction === 'back' ? arrow.share : arrow.share / Math.max(1, to.members);
    ties.set(key, tie);
  }
  return [...ties.values()];
}

const sharesOf = (nodes: readonly Node[]): number =>
  nodes.reduce((sum, n) => sum + n.share * n.members, 0);
const largestFirst = (a: Node, b: Node): number => b.share - a.share || (a.code < b.code ? -1 : 1);

/** Boxes that lead to this one or that it leads to, itself included. */
export function alongWith(box: string, ties: readonly Tie[]): ReadonlySet<string> {
  const along = new Set([box]);
  for (const [near, far] of [
    ['from', 'to'],
    ['to', 'from'],
  ] as const) {
    const reached = [box];
    const seen = new Set(reached);
    for (let at = reached.pop(); at !== undefined; at = reached.pop())
      for (const tie of ties)
        if (tie[near].key === at && !seen.has(tie[far].key)) {
          seen.add(tie[far].key);
          along.add(tie[far].key);
          reached.push(tie[far].key);
        }
  }
  return along;
}

/** Where an arrow key leads: up and down within a step, left and right to the nearest box of the next. */
export function nextBox(boxes: readonly Box[], from: Box, key: string): Box | null {
  if (key === 'ArrowUp' || key === 'ArrowDown') {
    const column = boxes.filter((b) => b.step === from.step);
    return column[column.indexOf(from) + (key === 'ArrowUp' ? -1 : 1)] ?? null;
  }
  if (key !== 'ArrowLeft' && key !== 'ArrowRight') return null;
  const beyond = boxes.filter((b) =>
    key === 'ArrowLeft' ? b.step < from.step : b.step > from.step,
  );
  const step =
    key === 'ArrowLeft'
      ? Math.max(...beyond.map((b) => b.step))
      : Math.min(...beyond.map((b) => b.step));
  return (
    beyond
      .filter((b) => b.step === step)
      .sort((a, b) => Math.abs(a.y - from.y) - Math.abs(b.y - from.y))[0] ?? null
  );
}
