import type { Client } from '@rundlet/client';
import {
  api,
  type ActOf,
  type Act,
  type ActResult,
  type SubmittableKind,
} from '@rundlet/contracts';
import { makeCaskCode, makePositionCode, makeSampleCode, makeVatCode } from '@rundlet/identifiers';
import { v7 as uuid } from 'uuid';

export const newId = (): string => uuid();

/** An act of this kind, made at this instant. */
export function act<K extends SubmittableKind>(
  kind: K,
  body: ActOf<K>['body'],
  more: { happenedAt?: string; id?: string; offline?: boolean; deviceId?: string } = {},
): Act {
  return { id: newId(), happenedAt: '2026-03-01T09:00:00.000Z', ...more, kind, body } as Act;
}

/** Sends acts one batch in order and insists that each is applied. */
export async function doActs(client: Client, acts: readonly Act[]): Promise<ActResult[]> {
  const { results } = await client.call(api.journal.submitMany, { body: { acts: [...acts] } });
  for (const [i, result] of results.entries())
    if (result.status !== 'applied' && result.status !== 'already-applied')
      throw new Error(
        `${acts[i]?.kind ?? ''} was ${result.status}: ${JSON.stringify(result.problem)}`,
      );
  return results;
}

export interface SmallEstate {
  readonly storeId: string;
  readonly zoneId: string;
  readonly positionIds: readonly string[];
  readonly accountId: string;
  readonly vatId: string;
  readonly lotId: string;
  readonly plotId: string;
  readonly harvestId: string;
  readonly fermentId: string;
  readonly stillRunId: string;
  readonly caskIds: readonly string[];
  readonly fillingIds: readonly string[];
}

const FILLED_AT = '2020-05-04T10:00:00.000Z';

/**
 * A little of Harrow Point: one store with one zone and a row of positions, a spirit lot back to its plot, and casks, all
 * but the last of them filled from one vat on one day.
 */
export async function layDownSmallEstate(
  client: Client,
  { casks = 4, serial = 0 }: { casks?: number; serial?: number } = {},
): Promise<SmallEstate> {
  const ids = {
    storeId: newId(),
    zoneId: newId(),
    accountId: newId(),
    vatId: newId(),
    lotId: newId(),
    plotId: newId(),
    harvestId: newId(),
    fermentId: newId(),
    stillRunId: newId(),
  };
  const tag = String(serial).padStart(3, '0');
  const positionIds = Array.from({ length: casks + 2 }, newId);
  const caskIds = Array.from({ length: casks }, newId);
  const fillingIds = caskIds.slice(0, -1).map(newId);
  const on = { happenedAt: '2020-05-01T08:00:00.000Z' };
  /** harvest, ferment and run grow with the casks: a run can't give more than it made */
  const size = Math.ceil(casks / 18);
  const acts: Act[] = [
    act(
      'store.register',
      {
        id: ids.storeId,
        code: `HP${tag}`,
        name: 'Shore store',
        timeZone: 'Europe/Lisbon',
        remark: null,
      },
      on,
    ),
    act(
      'zone.register',
      { id: ids.zoneId, storeId: ids.storeId, code: `HP${tag}-G`, name: 'Ground floor', floor: 0 },
      on,
    ),
    act(
      'position.register',
      {
        zoneId: ids.zoneId,
        positions: positionIds.map((id, i) => ({
          id,
          code: makePositionCode(serial * 1000 + i),
          row: i % 2 === 0 ? 'A' : 'B',
          bay: String(i),
          level: '1',
          slot: '1',
          capacity: 1,
          walkOrder: 1000 - i,
        })),
      },
      on,
    ),
    act(
      'account.register',
      { id: ids.accountId, code: `OWN${tag}`, name: 'Own stock', kind: 'own', remark: null },
      on,
    ),
    act(
      'vat.register',
      {
        id: ids.vatId,
        code: makeVatCode(serial),
        name: 'Filling vat',
        storeId: ids.storeId,
        accountId: ids.accountId,
        capacityLitres: Math.max(10_000, casks * 201),
      },
      on,
    ),
    act(
      'plot.record',
      {
        id: ids.plotId,
        code: `PLOT${tag}`,
        name: 'Seaward orchard',
        areaHa: 2.5,
        soil: null,
        crop: 'apple',
        variety: 'Tern Russet',
        plantedYear: 1998,
      },
      on,
    ),
    act(
      'harvest.record',
      {
        id: ids.harvestId,
        code: `HL${tag}`,
        plotId: ids.plotId,
        harvestedOn: '2019-10-02',
        massKg: 60_000 * size,
        sugarPercentMass: 14,
      },
      on,
    ),
    act(
      'ferment.record',
      {
        id: ids.fermentId,
        code: `FE${tag}`,
        vessel: 'Tun 2',
        yeast: 'house',
        startedOn: '2019-10-03',
        endedOn: '2019-10-20',
        inputs: [{ harvestLotId: ids.harvestId, massKg: 60_000 * size }],
        bulkLitresAt20C: 45_000 * size,
        strengthPercentVol: 7,
      },
      on,
    ),
    act(
      'still-run.record',
      {
        id: ids.stillRunId,
        code: `RUN${tag}`,
        still: 'Pot 1',
        ranOn: '2020-04-28',
        inputs: [{ fermentId: ids.fermentId, bulkLitresAt20C: 45_000 * size }],
        headsLitresAt20C: 60 * size,
        heartsLitresAt20C: 3500 * size,
        heartsStrengthPercentVol: 68,
        tailsLitresAt20C: 900 * size,
      },
      on,
    ),
    act(
      'spirit-lot.record',
      {
        id: ids.lotId,
        code: `LOT${tag}`,
        name: 'Spring run',
        inputs: [{ stillRunId: ids.stillRunId, share: 1 }],
      },
      on,
    ),
    act(
      'spirit.receive',
      {
        vatId: ids.vatId,
        lotId: ids.lotId,
        readings: {
          method: 'declared',
          bulkLitresAt20C: Math.max(3000, casks * 200),
          strengthPercentVol: 63.5,
        },
      },
      { happenedAt: '2020-05-03T08:00:00.000Z' },
    ),
    ...caskIds.map((id, i) =>
      act(
        'cask.register',
        {
          id,
          code: makeCaskCode(serial * 1000 + i),
          cooperage: {
            kind: i % 2 === 0 ? 'barrel' : 'hogshead',
            nominalLitres: i % 2 === 0 ? 200 : 250,
            woodSpecies: i % 2 === 0 ? 'Quercus alba' : 'Quercus robur',
            forest: null,
            seasoningMonths: 24,
            toast: 'medium',
            char: null,
            previousContents: i % 2 === 0 ? 'none' : 'wine',
            cooper: null,
            cooperLot: null,
          },
          geometry: {
            figure: 'spheroid',
            bilgeDiameterMm: 640,
            headDiameterMm: 540,
            lengthMm: 880,
            basis: 'assumed',
          },
          capacityLitres: i % 2 === 0 ? 210 : 260,
          tareKg: 48,
          giai: null,
          aliases: [`COOPER-${tag}-${String(i)}`],
          earlierFillings: 0,
          positionId: positionIds[i] ?? null,
        },
        on,
      ),
    ),
    ...fillingIds.map((fillingId, i) =>
      act(
        'cask.fill',
        {
          caskId: caskIds[i] ?? '',
          fillingId,
          vatId: ids.vatId,
          readings: { method: 'declared', bulkLitresAt20C: 200, strengthPercentVol: 63.5 },
          positionId: null,
        },
        { happenedAt: FILLED_AT },
      ),
    ),
  ];
  await doActs(client, acts);
  return { ...ids, positionIds, caskIds, fillingIds };
}

export const sampleCode = (serial: number): string => makeSampleCode(serial);
