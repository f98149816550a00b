/** A column kept at or beyond a whole number, and what was known before that. */
export interface Decision {
  /** Column decided here, −1 at the root. */
  readonly column: number;
  readonly value: number;
  /** Value of the column in the parent's relaxation. */
  readonly from?: number;
  /** No plan below the parent is better than this. */
  readonly bound: number;
}

/** A node of the search: one more decision on top of its parent's. */
export interface Node extends Decision {
  readonly parent: Node | null;
  readonly depth: number;
}

/** Open nodes, least bound first. */
export class NodeHeap<T extends { readonly bound: number } = Node> {
  readonly #nodes: T[] = [];

  get size(): number {
    return this.#nodes.length;
  }

  least(): number {
    return this.#nodes[0]?.bound ?? Infinity;
  }

  push(node: T): void {
    const nodes = this.#nodes;
    let at = nodes.length;
    nodes.push(node);
    while (at > 0) {
      const up = (at - 1) >> 1;
      if (nodes[up]!.bound <= node.bound) break;
      nodes[at] = nodes[up]!;
      at = up;
    }
    nodes[at] = node;
  }

  pop(): T | null {
    const nodes = this.#nodes;
    const top = nodes[0];
    const last = nodes.pop();
    if (!top || !last) return null;
    if (nodes.length === 0) return top;
    let at = 0;
    for (;;) {
      let child = 2 * at + 1;
      if (child >= nodes.length) break;
      if (child + 1 < nodes.length && nodes[child + 1]!.bound < nodes[child]!.bound) child++;
      if (nodes[child]!.bound >= last.bound) break;
      nodes[at] = nodes[child]!;
      at = child;
    }
    nodes[at] = last;
    return top;
  }
}
