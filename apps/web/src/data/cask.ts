/** A cask from the server when it answers, from this device's store otherwise, with what waits in the outbox laid over. */
import { api, type Act, type CaskCard, type LiquidFigures } from '@rundlet/contracts';
import type { UseQueryResult } from '@tanstack/react-query';
import { useOutboxItems } from '../acts/outbox.ts';
import { useAisle } from './aisle.ts';
import { positionWords, type AisleIndex } from './aisle-index.ts';
import { useApi } from './client.ts';

/** What every form about a cask needs, from whichever source. */
export interface CaskBrief {
  readonly id: string;
  readonly code: string;
  readonly kind: string;
  readonly nominalLitres: number;
  readonly woodSpecies: string;
  readonly status: 'empty' | 'filled' | 'retired';
  readonly condition: CaskCard['cask']['condition'];
  readonly geometry: CaskCard['cask']['geometry'];
  readonly capacityLitres: number | null;
  readonly tareKg: number | null;
  readonly position: { id: string; code: string; words: string; zone: string | null } | null;
  readonly filledAt: string | null;
  readonly fillNumber: number | null;
  readonly figures: LiquidFigures | null;
  readonly lastGaugedAt: string | null;
  /** When the figures were fetched, if they come from this device and not from the server. */
  readonly fromDeviceAt: string | null;
  /** Acts about it that are not sent yet, in words. */
  readonly waiting: readonly string[];
}
export interface CaskView {
  brief: CaskBrief | null;
  /** The whole card; null while it cannot be had. */
  card: CaskCard | null;
  query: UseQueryResult<CaskCard>;
}

/** `id` is null while no cask has been chosen. */
export function useCask(id: string | null): CaskView {
  const query = useApi(api.casks.card, { params: { id: id ?? '' } }, { enabled: id !== null });
  const { index } = useAisle();
  const items = useOutboxItems();
  const card = query.data ?? null;
  if (id === null) return { brief: null, card: null, query };
  const base = card ? briefOfCard(card) : briefInAisle(index, id);
  if (!base) return { brief: null, card, query };
  const acts = items.filter((item) => item.state === 'waiting' && isAbout(item.act, id));
  const moved = acts.findLast((item) => item.act.kind === 'cask.move')?.act;
  const position =
    moved?.kind === 'cask.move' ? placeInAisle(index, moved.body.positionId) : undefined;
  const brief = {
    ...base,
    // While the server is still being asked there is nothing to say about it.
    fromDeviceAt: query.isError ? base.fromDeviceAt : null,
    ...(position ? { position } : {}),
    waiting: acts.map((item) => item.words),
  };
  return { brief, card, query };
}

const isAbout = (act: Act, caskId: string): boolean =>
  'caskId' in act.body && act.body.caskId === caskId;

function briefOfCard(card: CaskCard): CaskBrief {
  const { cask, filling, position, zone } = card;
  return {
    ...cask,
    kind: cask.cooperage.kind,
    nominalLitres: cask.cooperage.nominalLitres,
    woodSpecies: cask.cooperage.woodSpecies,
    position: position && {
      id: position.id,
      code: position.code,
      words: positionWords(position),
      zone: zone?.name ?? null,
    },
    filledAt: filling?.filledAt ?? null,
    fillNumber: filling?.fillNumber ?? null,
    figures: filling?.figures ?? null,
    lastGaugedAt: filling?.lastGaugedAt ?? null,
    fromDeviceAt: null,
    waiting: [],
  };
}

export function briefInAisle(index: AisleIndex | null, id: string): CaskBrief | null {
  const cask = index?.caskById.get(id);
  if (!index || !cask) return null;
  return {
    ...cask,
    capacityLitres: null,
    position: cask.positionId ? (placeInAisle(index, cask.positionId) ?? null) : null,
    fromDeviceAt: index.snapshot.madeAt,
    waiting: [],
  };
}

function placeInAisle(
  index: AisleIndex | null,
  positionId: string,
): CaskBrief['position'] | undefined {
  const position = index?.positionById.get(positionId);
  return position && index
    ? {
        id: position.id,
        code: position.code,
        words: positionWords(position),
        zone: index.zoneName.get(position.zoneId) ?? null,
      }
    : undefined;
}
