/**
 * What must be shifted, against a search that knows only when a single cask or pallet can leave; and what suggested
 * places must always be. How casks are stowed and fetched is common practice, no published source.
 */
import type { Stow } from '@rundlet/contracts';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  liftsOf,
  suggestPositions,
  toShift,
  type PutawayWish,
  type Stand,
  type Stowed,
} from '../index.ts';

interface Cell {
  readonly bay: number;
  readonly level: number;
  readonly slot: string;
}
const cask = (more: Partial<Stowed> = {}): Stowed => ({
  lotId: 'lot-a',
  accountId: 'own',
  nominalLitres: 200,
  woodSpecies: 'Quercus robur',
  ...more,
});

/** A row whose stacks stand on the floor, `heights[bay][slot]` casks high. */
function rowOf(
  heights: readonly (readonly number[])[],
  levels: number,
  { zoneId = 'zone', name = 'A', of = (): Stowed => cask() } = {},
): Stand<Stowed>[] {
  return heights.flatMap((stacks, bay) =>
    stacks.flatMap((high, s) =>
      Array.from({ length: levels }, (_, level) => {
        const slot = 'LR'[s] ?? '';
        return {
          position: {
            id: `${zoneId}-${name}-${String(bay)}-${String(level)}-${slot}`,
            zoneId,
            code: '',
            row: name,
            // Named so that the order of the names must be read as numbers.
            bay: String(bay + 8),
            level: String(level + 1),
            slot,
            capacity: 1,
            walkOrder: bay * 100 + level * 10 + s,
          },
          casks: level < high ? [of()] : [],
        };
      }),
    ),
  );
}
const cellOf = ({ position }: Stand): Cell => ({
  bay: Number(position.bay) - 8,
  level: Number(position.level) - 1,
  slot: position.slot,
});

const stows: fc.Arbitrary<Stow> = fc.record({
  kind: fc.constantFrom('dunnage' as const, 'palletised' as const),
  mouth: fc.constantFrom('lowest-bay', 'highest-bay', 'both-ends', 'every-bay'),
  largestCaskLitres: fc.constant(null),
});
const rows = fc
  .record({ bays: fc.integer({ min: 1, max: 3 }), levels: fc.integer({ min: 1, max: 2 }) })
  .chain(({ bays, levels }) =>
    fc
      .array(fc.tuple(fc.nat(levels), fc.nat(levels)), { minLength: bays, maxLength: bays })
      .map((heights) => rowOf(heights, levels)),
  );

/** Whether this cask, or this pallet, can leave just now, whatever else stays: the one thing the search knows. */
function canLeave(stow: Stow, left: readonly Cell[], it: Cell): boolean {
  if (stow.kind === 'racked') return true;
  const others = left.filter((c) => stow.kind === 'palletised' || c.slot === it.slot);
  if (others.some((c) => c.bay === it.bay && c.level > it.level)) return false;
  if (stow.mouth === 'every-bay') return true;
  const sides = stow.mouth === 'both-ends' ? [-1, 1] : stow.mouth === 'lowest-bay' ? [-1] : [1];
  return sides.some(
    (side) =>
      !others.some(
        (c) =>
          Math.sign(c.bay - it.bay) === side &&
          (stow.kind === 'palletised' || c.level === it.level),
      ),
  );
}
const liftOf = (stow: Stow, c: Cell): string =>
  `${String(c.bay)} ${String(c.level)} ${stow.kind === 'dunnage' ? c.slot : ''}`;

/** Fewest lifts after which the wanted one can leave, by trying every order. */
function fewestLifts(stow: Stow, cells: readonly Cell[], wanted: Cell): number {
  const goal = liftOf(stow, wanted);
  let states = new Map([['', cells]]);
  for (let lifts = 0; ; lifts++) {
    const next = new Map<string, readonly Cell[]>();
    for (const left of states.values()) {
      if (canLeave(stow, left, wanted)) return lifts;
      for (const key of new Set(left.map((c) => liftOf(stow, c)))) {
        const it = left.find((c) => liftOf(stow, c) === key);
        if (!it || key === goal || !canLeave(stow, left, it)) continue;
        const then = left.filter((c) => liftOf(stow, c) !== key);
        next.set(then.map((c) => `${liftOf(stow, c)}${c.slot}`).join(), then);
      }
    }
    states = next;
  }
}

describe('what must be shifted', () => {
  test('no fewer lifts would do, and each can be done when its turn comes', () => {
    let shifted = 0;
    fc.assert(
      fc.property(stows, rows, fc.nat(), (stow, row, pick) => {
        const standing = row.filter(({ casks }) => casks.length > 0);
        const wanted = standing[pick % Math.max(1, standing.length)];
        if (!wanted) return;
        const lifts = toShift(stow, row, wanted.position);
        shifted += lifts.length;
        expect(liftsOf(stow, lifts)).toBe(fewestLifts(stow, standing.map(cellOf), cellOf(wanted)));
        let left = standing;
        for (const lift of lifts) {
          for (const stand of lift)
            expect(canLeave(stow, left.map(cellOf), cellOf(stand))).toBe(true);
          left = left.filter((stand) => !lift.includes(stand));
        }
        expect(canLeave(stow, left.map(cellOf), cellOf(wanted))).toBe(true);
      }),
      { numRuns: 400 },
    );
    // About 110 by these generators: enough was tried.
    expect(shifted).toBeGreaterThan(30);
  });

  test('in a rack nothing is shifted', () => {
    const row = rowOf(
      [
        [3, 3],
        [3, 3],
      ],
      3,
    );
    for (const { position } of row)
      expect(toShift({ kind: 'racked', largestCaskLitres: null }, row, position)).toEqual([]);
  });

  test('a full dunnage line three deep and two high, its mouth at the first bay', () => {
    const row = rowOf([[2], [2], [2]], 2);
    const stow: Stow = { kind: 'dunnage', mouth: 'lowest-bay', largestCaskLitres: null };
    const order = (bay: number, level: number) =>
      toShift(stow, row, row[bay * 2 + level]?.position ?? row[0]!.position).map((lift) =>
        lift.map(({ position }) => `${position.bay}/${position.level}`).join(),
      );
    expect(order(0, 1)).toEqual([]);
    expect(order(2, 1)).toEqual(['8/2', '9/2']);
    expect(order(2, 0)).toEqual(['8/2', '8/1', '9/2', '9/1', '10/2']);
  });

  test('a pallet takes its casks along, and those beside it stay', () => {
    const row = rowOf(
      [
        [2, 2],
        [1, 1],
      ],
      2,
    );
    const stow: Stow = { kind: 'palletised', mouth: 'lowest-bay', largestCaskLitres: null };
    const lifts = toShift(stow, row, row.at(-1)!.position);
    expect(lifts.map((lift) => lift.map(({ position }) => position.slot).join(''))).toEqual([
      'LR',
      'LR',
    ]);
    expect(liftsOf(stow, lifts)).toBe(2);
    const [below] = row;
    expect(liftsOf(stow, toShift({ ...stow, mouth: 'every-bay' }, row, below!.position))).toBe(1);
  });
});

describe('suggested places', () => {
  const wish = (stands: Stand<Stowed>[], stow: Stow | null, more: Partial<PutawayWish> = {}) =>
    suggestPositions({
      cask: cask(),
      stands,
      stowOf: new Map([['zone', stow]]),
      standsAt: null,
      from: null,
      limit: 4,
      ...more,
    });
  const dunnage: Stow = { kind: 'dunnage', mouth: 'lowest-bay', largestCaskLitres: 250 };
  const named = (found: ReturnType<typeof wish>) =>
    found.map(({ position: p }) => `${p.row} ${p.bay} ${p.level} ${p.slot}`);

  test('always have room, lie on something, and say how many lifts they cost', () => {
    let seen = 0;
    fc.assert(
      fc.property(stows, rows, rows, (stow, one, two) => {
        const stands = [
          ...one,
          ...two.map(({ position, casks }) => ({
            position: {
              ...position,
              id: `B${position.id}`,
              row: 'B',
              walkOrder: position.walkOrder + 1000,
            },
            casks,
          })),
        ];
        for (const { position, lifts } of wish(stands, stow, { limit: 50 })) {
          seen++;
          const row = stands.filter((s) => s.position.row === position.row);
          const it = row.find((s) => s.position.id === position.id);
          expect(it?.casks).toEqual([]);
          expect(lifts).toBe(liftsOf(stow, toShift(stow, row, position)));
          const below = row.filter(
            (s) =>
              s.position.bay === position.bay &&
              s.position.level < position.level &&
              (stow.kind === 'palletised' || s.position.slot === position.slot),
          );
          for (const level of new Set(below.map((s) => s.position.level)))
            expect(below.some((s) => s.position.level === level && s.casks.length > 0)).toBe(true);
        }
      }),
    );
    expect(seen).toBeGreaterThan(100);
  });

  test('an empty dunnage row is filled from its far end', () => {
    const stands = rowOf([[0], [0], [0]], 2);
    const [first] = wish(stands, dunnage);
    expect(first?.position).toMatchObject({ bay: '10', level: '1' });
    expect(first?.why).toEqual(['nothing to shift', 'an empty row']);
    const worst = wish(stands, dunnage, { limit: 9 }).at(-1);
    expect(worst?.why).toContain('shuts off 2 free places');
  });

  test('a whole row filled one by one by the first suggestion is never shifted nor shut off', () => {
    fc.assert(
      fc.property(
        stows,
        fc.integer({ min: 1, max: 4 }),
        fc.integer({ min: 1, max: 3 }),
        (stow, bays, levels) => {
          let stands = rowOf(
            Array.from({ length: bays }, () => [0, 0]),
            levels,
          );
          for (let i = 0; i < stands.length; i++) {
            const [best] = wish(stands, stow);
            expect(best?.lifts).toBe(0);
            expect(best?.why.join()).not.toContain('shuts off');
            stands = stands.map((s) =>
              s.position.id === best?.position.id ? { ...s, casks: [cask()] } : s,
            );
          }
          expect(wish(stands, stow)).toEqual([]);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('too large a cask is not offered a place', () => {
    const stands = rowOf([[0]], 1);
    expect(wish(stands, dunnage, { cask: cask({ nominalLitres: 500 }) })).toEqual([]);
    expect(wish(stands, dunnage)).toHaveLength(1);
    expect(wish(stands, dunnage, { standsAt: stands[0]?.position.id ?? '' })).toEqual([]);
  });

  test('a cask comes to its parcel, before its owner’s other casks, and its own wood before another', () => {
    const row = (name: string, of: () => Stowed) => rowOf([[1], [0]], 1, { name, of });
    const racked: Stow = { kind: 'racked', largestCaskLitres: null };
    const stands = [
      ...row('A', () =>
        cask({ lotId: 'lot-b', accountId: 'customer', woodSpecies: 'Quercus alba' }),
      ),
      ...row('B', () => cask({ lotId: 'lot-b', accountId: 'customer' })),
      ...row('C', () => cask({ lotId: 'lot-b' })),
      ...row('D', () => cask()),
    ];
    expect(named(wish(stands, racked))).toEqual(['D 9 1 L', 'C 9 1 L', 'B 9 1 L', 'A 9 1 L']);
    expect(wish(stands, racked)[0]?.why).toContain('with 1 cask of its parcel in the row');
  });

  test('a stranger does not go before a parcel that would have to be shifted for it', () => {
    const strangers = () => cask({ lotId: 'lot-b' });
    const stands = [
      ...rowOf([[0], [1], [1]], 1, { name: 'A', of: strangers }),
      ...rowOf([[0], [0], [0]], 1, { name: 'B' }),
    ];
    const found = wish(stands, dunnage);
    expect(named(found)[0]).toBe('B 10 1 L');
    expect(found.find(({ position }) => position.row === 'A')?.why).toContain(
      'will lie before 2 casks of other parcels',
    );
  });

  test('the nearest along the walk comes first where nothing else tells places apart', () => {
    const stands = rowOf([[0], [0], [0], [0]], 1);
    const racked: Stow = { kind: 'racked', largestCaskLitres: null };
    expect(named(wish(stands, racked, { from: 100 }))).toEqual([
      'A 9 1 L',
      'A 10 1 L',
      'A 8 1 L',
      'A 11 1 L',
    ]);
  });

  test('a climate wished for outweighs the company, and zones without one are left out', () => {
    const stands = [
      ...rowOf([[1], [0]], 1),
      ...rowOf([[0]], 1, { zoneId: 'damp' }),
      ...rowOf([[0]], 1, { zoneId: 'unmeasured' }),
    ];
    const stowOf = new Map([
      ['zone', null],
      ['damp', null],
      ['unmeasured', null],
    ]);
    const asked = (climateRank?: Map<string, number>) =>
      wish(stands, null, { stowOf, climateRank }).map(({ position }) => position.zoneId);
    expect(asked()[0]).toBe('zone');
    expect(
      asked(
        new Map([
          ['damp', 0],
          ['zone', 1],
        ]),
      ),
    ).toEqual(['damp', 'zone']);
  });

  test('where nobody has said how a zone is stowed, it says so', () => {
    const [found] = wish(rowOf([[0]], 1), null);
    expect(found).toMatchObject({ lifts: null });
    expect(found?.why).toContain('how the zone is stowed is not described');
  });
});
