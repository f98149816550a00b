import { Injectable } from '@nestjs/common';
import type { Act, Cask, HeldAct, HeldView, Position } from '@rundlet/contracts';
import { describeIntent, DomainError, type NameOf } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { Records } from '../database/records.ts';
import type { Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { ActDoor } from './act-door.ts';
import { History } from './history.ts';

/** Entries about the same casks and places that a keeper is shown beside a held act. */
const MOST_BESIDE = 6;

/** Held acts with both versions: what the device says, and what the books say of the same things. */
@Injectable()
export class HeldViews {
  constructor(
    private readonly records: Records,
    private readonly history: History,
    private readonly door: ActDoor,
    private readonly clock: Clock,
  ) {}

  async of(held: readonly HeldAct[], by: Actor): Promise<HeldView[]> {
    const people = await this.history.namesOfActors(held.map(({ actorId }) => actorId));
    return Promise.all(
      held.map(async (one) => {
        const act = one.act as unknown as Act;
        return {
          held: one,
          person: people.get(one.actorId) ?? one.actorId,
          // A device with a token of its own is named as whoever acted.
          device: act.deviceId === one.actorId ? null : (act.deviceId ?? null),
          sentence: describeIntent(act, await this.namesIn(act)),
          book: await this.book(act),
          beside: await this.history.about(subjectsOf(act), MOST_BESIDE),
          refusalNow: one.status === 'open' ? await this.refusalNow(one.id, by) : null,
        };
      }),
    );
  }

  /** What the books say now of what the act is about. */
  private async book(act: Act): Promise<string[]> {
    const { caskId, positionId, stocktakeId } = idsIn(act);
    const [cask, position, stocktake] = await Promise.all([
      this.records.find('cask', caskId),
      this.records.find('position', positionId),
      this.records.find('stocktake', stocktakeId),
    ]);
    return [
      ...(cask ? [await this.caskWords(cask)] : []),
      ...(position ? [await this.positionWords(position)] : []),
      ...(stocktake
        ? [`Stock-take ${stocktake.code} ${stocktake.title} is ${stocktake.status}.`]
        : []),
    ];
  }

  private async caskWords(cask: Cask): Promise<string> {
    const position = await this.records.find('position', cask.positionId);
    const filling = await this.records.find('filling', cask.fillingId);
    const stands = position
      ? `stands in ${position.code} (${placeOf(position)})${cask.positionSince ? ` since ${minute(cask.positionSince)}` : ''}`
      : 'stands in no position';
    const holds = filling
      ? `holds ${filling.figures.bulkLitresAt20C.toFixed(1)} L at ${filling.figures.strengthPercentVol.toFixed(2)} % vol, gauged ${minute(filling.lastGaugedAt)}`
      : cask.status;
    return `Cask ${cask.code} ${stands}, ${holds}; ${cask.condition}.`;
  }

  private async positionWords(position: Position): Promise<string> {
    const there = await this.records.where('cask', sql`"positionId" = ${position.id}`, sql`"code"`);
    const casks = there.map(
      ({ code, positionSince }) =>
        `${code}${positionSince ? ` since ${minute(positionSince)}` : ''}`,
    );
    return `Position ${position.code} (${placeOf(position)}) has room for ${String(position.capacity)} and holds ${casks.join(' and ') || 'nothing'}.`;
  }

  /** Why it could still not be applied; null when it could. */
  private async refusalNow(heldActId: string, by: Actor): Promise<string | null> {
    try {
      await this.door.rehearse(
        {
          id: uuid(),
          kind: 'held.settle',
          happenedAt: this.clock.instant(),
          body: { heldActId, verdict: 'try-again', reason: 'rehearsed' },
        },
        // Whoever may read this is told what would happen; only a keeper can do it.
        { ...by, roles: ['keep'] },
      );
      return null;
    } catch (error) {
      if (error instanceof DomainError) return error.message;
      throw error;
    }
  }

  private async namesIn(act: Act): Promise<NameOf> {
    const { caskId, positionId, stocktakeId, vatId } = idsIn(act);
    const named = await Promise.all([
      this.records.find('cask', caskId),
      this.records.find('position', positionId),
      this.records.find('stocktake', stocktakeId),
      this.records.find('vat', vatId),
    ]);
    const codes = new Map(named.flatMap((record) => (record ? [[record.id, record.code]] : [])));
    return (kind, id) => codes.get(id) ?? `${kind} …${id.slice(-6)}`;
  }
}

const placeOf = ({ row, bay, level, slot }: Position): string =>
  `row ${row} · bay ${bay} · level ${level} · slot ${slot}`;
const minute = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;

type Ids = Record<'caskId' | 'positionId' | 'stocktakeId' | 'vatId', string | null>;
function idsIn(act: Act): Ids {
  const body = act.body as Record<string, unknown>;
  const id = (name: string): string | null => (typeof body[name] === 'string' ? body[name] : null);
  return {
    caskId: id('caskId'),
    positionId: id('positionId'),
    stocktakeId: id('stocktakeId'),
    vatId: id('vatId'),
  };
}

function subjectsOf(act: Act): string[] {
  const { caskId, positionId } = idsIn(act);
  return [...(caskId ? [`cask:${caskId}`] : []), ...(positionId ? [`position:${positionId}`] : [])];
}
