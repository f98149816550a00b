/**
 * The chosen store's casks and positions, kept on this device so that scanning, counting, moving and gauging work without
 * a network. It is fetched again whenever it is old and the server answers.
 */
import { api, type AisleSnapshot, type BodyOf } from '@rundlet/contracts';
import { useSyncExternalStore } from 'react';
import { client } from './client.ts';
import { database, keep, kept } from './database.ts';
import { indexAisle, type AisleIndex } from './aisle-index.ts';
import { isReachable, onReachable } from './network.ts';
import { outboxStorage } from './outbox-storage.ts';

const OLD_AFTER_MS = 10 * 60_000;
const CHOSEN = 'chosen-store';

export interface AisleState {
  /** False until the device's own storage has been read. */
  ready: boolean;
  storeId: string | null;
  index: AisleIndex | null;
  fetching: boolean;
}
let state: AisleState = { ready: false, storeId: null, index: null, fetching: false };
const listeners = new Set<() => void>();

function set(change: Partial<AisleState>): void {
  state = { ...state, ...change };
  for (const listener of listeners) listener();
}

let opened = false;

/** Called by the shell once somebody is signed in. */
export async function openAisle(): Promise<void> {
  if (opened) return;
  opened = true;
  const storeId = (await kept<string>(CHOSEN)) ?? null;
  const snapshot = storeId ? await storedSnapshot(storeId) : undefined;
  set({ ready: true, storeId, index: snapshot ? indexAisle(snapshot) : null });
  if (storeId) void refreshAisle();
  else void chooseFirst();
  onReachable(() => {
    if (isReachable()) void refreshAisle();
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void refreshAisle();
  });
}

const storedSnapshot = (storeId: string): Promise<AisleSnapshot | undefined> =>
  database()
    .then((db) => db.get('snapshots', storeId))
    .then((snapshot) => snapshot && withWaiting(snapshot))
    .catch(() => undefined);

/** The store as it will be once the moves that wait here are booked. */
async function withWaiting(snapshot: AisleSnapshot): Promise<AisleSnapshot> {
  const items = await outboxStorage.all().catch(() => []);
  return afterMoves(
    snapshot,
    items.flatMap(({ act, state: itemState }) =>
      act.kind === 'cask.move' && itemState === 'waiting' ? [act.body] : [],
    ),
  );
}

/** A move made here shows here at once, sent or not. */
export function noteMove(move: BodyOf<'cask.move'>): void {
  const { index } = state;
  if (index) set({ index: indexAisle(afterMoves(index.snapshot, [move])) });
}

function afterMoves(
  snapshot: AisleSnapshot,
  moves: readonly { caskId: string; positionId: string }[],
): AisleSnapshot {
  if (moves.length === 0) return snapshot;
  const placeOf = new Map(moves.map(({ caskId, positionId }) => [caskId, positionId]));
  return {
    ...snapshot,
    casks: snapshot.casks.map((cask) => ({
      ...cask,
      positionId: placeOf.get(cask.id) ?? cask.positionId,
    })),
  };
}

/** Until somebody chooses, the device holds the first store: better one store's casks than none when the signal goes. */
async function chooseFirst(): Promise<void> {
  try {
    const [first] = (await client.call(api.places.stores)).rows;
    if (first && state.storeId === null) await chooseStore(first.store.id);
  } catch {
    // Not allowed to see stores, or no network: the page for choosing says so when it is opened.
  }
}

/** Makes this the device's store and fetches it. */
export async function chooseStore(storeId: string): Promise<void> {
  await keep(CHOSEN, storeId);
  const snapshot = await storedSnapshot(storeId);
  set({ storeId, index: snapshot ? indexAisle(snapshot) : null });
  await refreshAisle({ evenIfFresh: true });
}

export async function refreshAisle({ evenIfFresh = false } = {}): Promise<void> {
  const { storeId, index, fetching } = state;
  if (!storeId || fetching) return;
  const age = index ? Date.now() - Date.parse(index.snapshot.madeAt) : Infinity;
  if (!evenIfFresh && age < OLD_AFTER_MS) return;
  set({ fetching: true });
  try {
    const snapshot = await client.call(api.casks.aisle, { params: { id: storeId } });
    await database()
      .then((db) => db.put('snapshots', snapshot))
      .catch(() => undefined);
    if (state.storeId === storeId) set({ index: indexAisle(await withWaiting(snapshot)) });
  } catch {
    // The old one stays; how old it is stands beside everything shown from it.
  } finally {
    set({ fetching: false });
  }
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}
export const aisle = (): AisleState => state;
export const useAisle = (): AisleState => useSyncExternalStore(subscribe, aisle);
