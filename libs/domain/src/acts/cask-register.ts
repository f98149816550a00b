import { OutOfRangeError } from '@rundlet/alcoholometry';
import type { CaskGeometry } from '@rundlet/contracts';
import { capacityLitres } from '@rundlet/gauging';
import { DomainError } from '../errors.ts';
import {
  requireCaskCode,
  requireFreeAlias,
  requireGiai,
  requireInUse,
  requireNew,
} from './checks.ts';
import { requireFits } from './filling-record.ts';
import { handler } from './handler.ts';
import { requireRoom, standAt } from './standing.ts';

export const caskRegisterActs = {
  'cask.register': handler<'cask.register', object>({
    async decide({ body }, { state }) {
      requireCaskCode(body.code);
      if (body.giai !== null) requireGiai(body.giai);
      requireMeasures(body);
      await requireNew(state, 'cask', body.id, body.code);
      for (const alias of body.aliases) await requireFreeAlias(state, alias, '/body/aliases');
      const answering = await state.records.idByUnique('cask', 'alias', body.code);
      if (answering)
        throw new DomainError(
          'code-taken',
          `Another cask already answers to ${body.code}: that label is on it.`,
          { code: body.code, caskId: answering },
          '/body/code',
        );
      if (body.positionId) await requireRoom(state, body.positionId, null);
      return {};
    },
    async fold({ body }, _, { state, at }) {
      const { positionId, ...facts } = body;
      const cask = {
        ...facts,
        fillingsHere: 0,
        status: 'empty' as const,
        condition: 'sound' as const,
        conditionSince: null,
        storeId: null,
        zoneId: null,
        positionId: null,
        positionSince: null,
        fillingId: null,
      };
      await state.put('cask', {
        ...cask,
        ...(positionId ? await standAt(state, positionId, at) : {}),
      });
    },
  }),

  'cask.measure': handler<'cask.measure', object>({
    async decide({ body }, { state }) {
      const cask = await requireInUse(state, body.caskId);
      requireMeasures(body);
      const filling = cask.fillingId ? await state.need('filling', cask.fillingId) : null;
      if (filling)
        requireFits(
          { ...cask, capacityLitres: body.capacityLitres },
          filling.figures.bulkLitresAt20C,
          '/body/capacityLitres',
        );
      return {};
    },
    async fold({ body: { caskId, ...measures } }, _, { state }) {
      await state.put('cask', { ...(await state.need('cask', caskId)), ...measures });
    },
  }),
};

/**
 * How far a measured brim-full volume may stand from what measured lengths give, relative: a wrong figure of the
 * staves is worth some 5 %, so more is a slip of one or the other. Common practice, no published source.
 */
const BRIM_TOLERANCE = 0.15;

/** @throws DomainError `reading-impossible` when a length cannot be, or lengths and brim-full volume do not agree */
function requireMeasures(measures: {
  readonly geometry: CaskGeometry;
  readonly capacityLitres: number | null;
}): void {
  const { geometry, capacityLitres: brimFull } = measures;
  const byLengths = litresByLengths(geometry);
  if (brimFull === null || geometry.basis === 'assumed') return;
  if (Math.abs(brimFull - byLengths) > BRIM_TOLERANCE * byLengths)
    throw new DomainError(
      'reading-impossible',
      `The lengths give ${byLengths.toFixed(1)} L and the brim-full volume is ${brimFull.toFixed(1)} L: more than ${String(100 * BRIM_TOLERANCE)} % apart. Check both and their units.`,
      { byLengthsLitres: byLengths, capacityLitres: brimFull },
      '/body/capacityLitres',
    );
}

const FIELD_OF: Readonly<Record<string, string>> = {
  'bilge diameter': 'bilgeDiameterMm',
  'head diameter': 'headDiameterMm',
  length: 'lengthMm',
};

function litresByLengths(geometry: CaskGeometry): number {
  try {
    return capacityLitres(geometry);
  } catch (error) {
    if (!(error instanceof OutOfRangeError)) throw error;
    throw new DomainError(
      'reading-impossible',
      error.message,
      { quantity: error.quantity },
      `/body/geometry/${FIELD_OF[error.quantity] ?? 'figure'}`,
    );
  }
}
