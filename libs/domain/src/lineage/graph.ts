import type { LineageGraph, LineageKind, RecordOf } from '@rundlet/contracts';

/** What the graph says of one record of the chain; `group` is what it has in common with others of its step. */
const FACTS: {
  readonly [K in LineageKind]: (record: RecordOf<K>) => {
    name: string;
    detail: string;
    group: string;
  };
} = {
  plot: (p) => ({ name: p.name, detail: `${p.crop}, ${p.variety}`, group: `${p.crop} plots` }),
  'harvest-lot': (h) => ({
    name: '',
    detail: `harvested ${h.harvestedOn}, ${String(h.massKg)} kg`,
    group: `harvests of ${year(h.harvestedOn)}`,
  }),
  ferment: (f) => ({
    name: f.vessel,
    detail: `${f.yeast}, ${f.startedOn} to ${f.endedOn}`,
    group: `ferments of ${year(f.startedOn)}`,
  }),
  'still-run': (r) => ({
    name: r.still,
    detail: `ran ${r.ranOn}`,
    group: `runs of ${year(r.ranOn)}`,
  }),
  'spirit-lot': (l) => ({ name: l.name, detail: '', group: 'spirit lots' }),
  filling: (f) => ({
    name: '',
    detail: `${f.caskKind}, ${f.woodSpecies}, filled ${f.filledAt.slice(0, 10)}`,
    group: `${f.caskKind} of ${year(f.filledAt)}`,
  }),
  vat: (v) => ({ name: v.name, detail: figures(v), group: 'vats' }),
  blend: (b) => ({
    name: b.name,
    detail: `${figures(b)}, ${String(b.fillings.length)} casks`,
    group: 'blends',
  }),
  'bottling-run': (r) => ({
    name: r.name,
    detail: `${String(r.bottles)} bottles of ${String(r.bottleMl)} mL, ${r.at.slice(0, 10)}`,
    group: 'bottling runs',
  }),
};

/** What a record of the chain is called and known by. */
export function wordsOf<K extends LineageKind>(
  kind: K,
  record: RecordOf<K>,
): { name: string; detail: string } {
  const { name, detail } = FACTS[kind](record);
  return { name, detail };
}

export const nodeKey = (kind: LineageKind, id: string): string => `${kind}:${id}`;

/** A graph being drawn up: a record met twice is one node, and its shares add. */
export class GraphNotes {
  readonly #nodes = new Map<string, LineageGraph['nodes'][number]>();
  readonly #arrows = new Map<string, LineageGraph['arrows'][number]>();

  note<K extends LineageKind>(
    kind: K,
    record: RecordOf<K> & { code: string },
    share: number,
    group?: string,
  ): void {
    const key = nodeKey(kind, record.id);
    const there = this.#nodes.get(key);
    if (there) there.share += share;
    else {
      const facts = FACTS[kind](record);
      this.#nodes.set(key, {
        key,
        kind,
        id: record.id,
        code: record.code,
        ...facts,
        group: group ?? facts.group,
        members: 1,
        share,
      });
    }
  }

  /** Many records of one step as one node. */
  gather(node: LineageGraph['nodes'][number]): void {
    this.#nodes.set(node.key, node);
  }

  point(from: string, to: string, share: number): void {
    const key = `${from}>${to}`;
    const there = this.#arrows.get(key);
    if (there) there.share += share;
    else this.#arrows.set(key, { from, to, share });
  }

  get graph(): LineageGraph {
    return { nodes: [...this.#nodes.values()], arrows: [...this.#arrows.values()] };
  }
}

/** Weights as parts of 1; equal parts where nothing weighs. */
export function normalised(
  weights: readonly { id: string; weight: number }[],
): { id: string; part: number }[] {
  const total = weights.reduce((s, w) => s + w.weight, 0);
  return weights.map(({ id, weight }) => ({
    id,
    part: total > 0 ? weight / total : 1 / weights.length,
  }));
}

export const push = (to: Map<string, number>, key: string, share: number): void =>
  void to.set(key, (to.get(key) ?? 0) + share);

const year = (date: string): string => date.slice(0, 4);
const figures = ({
  figures: f,
}: {
  figures: { bulkLitresAt20C: number; strengthPercentVol: number };
}): string => `${f.bulkLitresAt20C.toFixed(1)} L at ${f.strengthPercentVol.toFixed(2)} % vol`;
