import type {
  Content,
  ExpectedFigures,
  FigureUncertainties,
  Gauge,
  LiquidFigures,
  Surety,
} from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import { ethanolMg, figuresOf, rescale } from '../liquid/content.ts';
import { gaugeReadings } from '../liquid/gauge-readings.ts';
import {
  requireFilled,
  requireFreeAlias,
  requireInUse,
  requireNew,
  requireNotReserved,
} from './checks.ts';
import {
  drawFromFilling,
  noteEvent,
  postCask,
  putContent,
  requireFits,
  settleAt,
} from './filling-record.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';
import { lineId, noteStanding } from '../stocktake/lines.ts';
import { handler } from './handler.ts';
import { leavePosition, requireRoom } from './standing.ts';

interface Gauged {
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly bookBefore: LiquidFigures;
  readonly content: Content;
  readonly differenceMg: number;
  readonly expected: ExpectedFigures | null;
  readonly verdict: Gauge['verdict'];
  readonly surety?: Surety;
  readonly late: boolean;
}

export const caskWorkActs = {
  'cask.gauge': handler<'cask.gauge', Gauged>({
    async decide({ body, happenedAt }, { state, forecast }) {
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      const gauged = gaugeReadings(body.readings, cask);
      requireFits(cask, gauged.figures.bulkLitresAt20C);
      const assessed = await forecast.assess({
        fillingId: filling.id,
        takenAt: happenedAt,
        figures: gauged.figures,
        uncertainties: gauged.uncertainties,
      });
      return {
        figures: gauged.figures,
        uncertainties: gauged.uncertainties,
        bookBefore: filling.figures,
        content: rescale(filling.content, gauged.ethanolMg, gauged.waterMg),
        differenceMg: gauged.ethanolMg - ethanolMg(filling.content),
        expected: assessed?.expected ?? null,
        verdict: assessed?.verdict ?? 'no-forecast',
        ...(assessed?.surety ? { surety: assessed.surety } : {}),
        late: happenedAt < filling.lastGaugedAt,
      };
    },
    async fold({ body, happenedAt }, o, context) {
      const { state, entryId, at } = context;
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      state.mention('cask', body.caskId);
      await state.put('gauge', {
        id: entryId,
        fillingId: filling.id,
        caskId: filling.caskId,
        takenAt: at,
        method: body.readings.method,
        readings: body.readings,
        figures: o.figures,
        uncertainties: o.uncertainties,
        bookBefore: o.bookBefore,
        late: o.late,
        expected: o.expected,
        verdict: o.verdict,
        ...(o.surety ? { surety: o.surety } : {}),
        keeperVerdict: null,
      });
      // A gauge that arrives after a newer one is kept as a measurement; the newer one already set the book.
      if (o.late) {
        await state.put('filling', { ...filling, gaugeCount: filling.gaugeCount + 1 });
        return;
      }
      const suspicion =
        o.verdict === 'possible-leak' || o.verdict === 'possible-blunder' ? o.verdict : 'none';
      await putContent(context, filling, o.content, {
        lastGaugedAt: at,
        gaugeCount: filling.gaugeCount + 1,
        suspicion,
      });
      await postCask(context, filling, 'gauge-difference', o.differenceMg);
    },
  }),

  'gauge.judge': handler<'gauge.judge', { caskId: string; latest: boolean }>({
    async decide({ body }, { state }) {
      const gauge = await state.need('gauge', body.gaugeId, '/body/gaugeId');
      const filling = await state.need('filling', gauge.fillingId);
      return {
        caskId: gauge.caskId,
        latest: filling.status === 'maturing' && gauge.takenAt >= filling.lastGaugedAt,
      };
    },
    async fold({ body }, { latest }, context) {
      const { state } = context;
      const gauge = await state.need('gauge', body.gaugeId);
      const filling = await state.need('filling', gauge.fillingId);
      state.mention('cask', gauge.caskId);
      state.mention('filling', filling.id);
      await state.put('gauge', { ...gauge, keeperVerdict: body.verdict });
      // A newer gauge has set the cask's suspicion by itself.
      if (!latest) return;
      if (body.verdict !== 'regauge') await state.put('filling', { ...filling, suspicion: 'none' });
      const cask = await state.need('cask', gauge.caskId);
      if (body.verdict === 'leak' && cask.condition !== 'leaking') {
        await noteEvent(context, filling, 'leak-found', null);
        await state.put('cask', { ...cask, condition: 'leaking' });
      }
    },
  }),

  'cask.move': handler<
    'cask.move',
    { fromPositionId: string | null; zoneId: string; superseded: boolean }
  >({
    async decide({ body, happenedAt, offline }, { state }) {
      const cask = await requireInUse(state, body.caskId);
      const to = await state.need('position', body.positionId, '/body/positionId');
      const superseded = cask.positionSince !== null && happenedAt < cask.positionSince;
      if (!superseded) {
        // Two people who each entered the same move, apart, agree: the second confirms the first.
        if (cask.positionId === to.id && offline !== true)
          throw new DomainError(
            'nothing-to-do',
            `Cask ${cask.code} already stands in ${to.code}.`,
            {},
            '/body/positionId',
          );
        await requireRoom(state, to.id, cask.positionId);
      }
      return {
        fromPositionId: cask.positionId,
        storeId: to.storeId,
        zoneId: to.zoneId,
        superseded,
      };
    },
    async fold({ body }, { superseded, zoneId }, context) {
      const { state, at } = context;
      const cask = await state.need('cask', body.caskId);
      state.mention('position', body.positionId);
      state.mention('cask', body.caskId);
      const filling = cask.fillingId ? await state.need('filling', cask.fillingId) : null;
      if (filling && at >= filling.filledAt)
        await noteEvent(context, { id: filling.id, zoneId }, 'moved', null);
      // A count that found the cask there says where it stood; the sheet keeps that it was misplaced.
      if (body.stocktakeId) await settleOnTheSpot(state, body.stocktakeId, cask.id);
      if (superseded) {
        await noteStanding(state, cask.id, at, body.positionId);
        return;
      }
      if (cask.positionId) await leavePosition(state, cask.positionId);
      await settleAt(context, cask, body.positionId);
    },
  }),

  'cask.sample': handler<
    'cask.sample',
    { content: Content; figures: LiquidFigures; late: boolean }
  >({
    async decide({ body, happenedAt }, { state }) {
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      await requireNew(state, 'sample', body.sampleId, body.code);
      const content = drawFromFilling(filling, body.bulkLitresAt20C);
      return { content, figures: figuresOf(content), late: happenedAt < filling.lastGaugedAt };
    },
    async fold({ body, happenedAt }, { content, figures, late }, context) {
      const { state, at } = context;
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      state.mention('cask', body.caskId);
      await state.put('sample', {
        id: body.sampleId,
        code: body.code,
        fillingId: filling.id,
        caskId: filling.caskId,
        takenAt: at,
        bulkLitresAt20C: figures.bulkLitresAt20C,
        strengthPercentVol: figures.strengthPercentVol,
        purpose: body.purpose,
      });
      await noteEvent(context, filling, 'sample', figures);
      await postCask(context, filling, 'sample', -ethanolMg(content));
      // A newer gauge saw the cask without it already: then the sample only names part of that gauge's difference.
      if (late) await postCask(context, filling, 'gauge-difference', ethanolMg(content));
      else {
        const left = rescale(
          filling.content,
          ethanolMg(filling.content) - ethanolMg(content),
          filling.content.waterMg - content.waterMg,
        );
        await putContent(context, filling, left, {});
      }
    },
  }),

  'cask.result': handler<'cask.result', { fillingId: string }>({
    async decide({ body, happenedAt }, { state }) {
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      return { fillingId: filling.id };
    },
    async fold({ body }, { fillingId }, { state, at }) {
      state.mention('cask', body.caskId);
      const { id, caskId, kind, measure, value, unit, remark } = body;
      await state.put('cask-result', {
        id,
        fillingId,
        caskId,
        at,
        kind,
        measure,
        value,
        unit,
        remark,
      });
    },
  }),

  'cask.inspect': handler<'cask.inspect', object>({
    async decide({ body }, { state }) {
      await state.need('cask', body.caskId, '/body/caskId');
      return {};
    },
    async fold({ body }, _, context) {
      const { state } = context;
      const cask = await state.need('cask', body.caskId);
      const filling = cask.fillingId ? await state.need('filling', cask.fillingId) : null;
      if (filling && body.condition === 'leaking' && cask.condition !== 'leaking')
        await noteEvent(context, filling, 'leak-found', null);
      if (filling && body.condition === 'sound' && cask.condition !== 'sound')
        await noteEvent(context, filling, 'repaired', null);
      // An inspection that arrives after a newer one is kept in the history; the newer one says how the cask is.
      state.mention('cask', cask.id);
      if (cask.conditionSince !== null && context.at < cask.conditionSince) return;
      await state.put('cask', { ...cask, condition: body.condition, conditionSince: context.at });
    },
  }),

  'cask.note': handler<'cask.note', object>({
    async decide({ body }, { state }) {
      await state.need('cask', body.caskId, '/body/caskId');
      return {};
    },
    async fold({ body }, _, { state }) {
      state.mention('cask', body.caskId);
    },
  }),

  'cask.alias': handler<'cask.alias', object>({
    async decide({ body }, { state }) {
      await state.need('cask', body.caskId, '/body/caskId');
      await requireFreeAlias(state, body.alias, '/body/alias', body.caskId);
      return {};
    },
    async fold({ body }, _, { state }) {
      const cask = await state.need('cask', body.caskId);
      await state.put('cask', { ...cask, aliases: [...cask.aliases, body.alias] });
    },
  }),

  'cask.hold': handler<'cask.hold', object>({
    async decide({ body, happenedAt }, { state }) {
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      if (filling.holdReason === body.reason)
        throw new DomainError(
          'nothing-to-do',
          body.reason === null
            ? 'The cask is not on hold.'
            : 'The cask is on hold for that reason already.',
          {},
          '/body/reason',
        );
      return {};
    },
    async fold({ body, happenedAt }, _, { state }) {
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      state.mention('cask', body.caskId);
      await state.put('filling', { ...filling, holdReason: body.reason });
    },
  }),

  'cask.change-owner': handler<'cask.change-owner', { fromAccountId: string }>({
    async decide({ body, happenedAt }, { state }) {
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      await state.need('account', body.accountId, '/body/accountId');
      requireNotReserved(filling);
      if (filling.accountId === body.accountId)
        throw new DomainError(
          'nothing-to-do',
          'The cask belongs to that account already.',
          {},
          '/body/accountId',
        );
      return { fromAccountId: filling.accountId };
    },
    async fold({ body, happenedAt }, _, context) {
      const { state } = context;
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      state.mention('cask', body.caskId);
      await postCask(context, filling, 'ownership', -ethanolMg(filling.content));
      await postCask(
        context,
        { ...filling, accountId: body.accountId },
        'ownership',
        ethanolMg(filling.content),
      );
      await state.put('filling', { ...filling, accountId: body.accountId });
    },
  }),

  'cask.release-duty': handler<'cask.release-duty', { figures: LiquidFigures }>({
    async decide({ body, happenedAt }, { state }) {
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      requireNotReserved(filling);
      if (filling.dutyStatus === 'paid')
        throw new DomainError(
          'nothing-to-do',
          `Cask ${cask.code} has left duty suspension already.`,
          {},
          '/body/caskId',
        );
      if (happenedAt < filling.lastGaugedAt)
        throw new DomainError(
          'later-entries-depend',
          `Cask ${cask.code} was gauged on ${filling.lastGaugedAt.slice(0, 10)}; what it held before, when it is said to have left suspension, the book no longer knows. Give a later day, or reverse what came after first.`,
          { lastGaugedAt: filling.lastGaugedAt },
          '/happenedAt',
        );
      return { figures: filling.figures };
    },
    async fold({ body, happenedAt }, _, context) {
      const { state } = context;
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      state.mention('cask', body.caskId);
      const paid: typeof filling = { ...filling, dutyStatus: 'paid' };
      await postCask(context, filling, 'released', -ethanolMg(filling.content));
      await postCask(context, paid, 'released', ethanolMg(filling.content));
      await state.put('filling', paid);
    },
  }),

  'cask.retire': handler<'cask.retire', object>({
    async decide({ body }, { state }) {
      const cask = await state.need('cask', body.caskId, '/body/caskId');
      if (cask.status === 'retired')
        throw new DomainError(
          'cask-retired',
          `Cask ${cask.code} is retired already.`,
          {},
          '/body/caskId',
        );
      if (cask.status === 'filled')
        throw new DomainError(
          'cask-not-empty',
          `Cask ${cask.code} still holds spirit. Empty it first.`,
          { fillingId: cask.fillingId },
          '/body/caskId',
        );
      return {};
    },
    async fold({ body }, _, { state, at }) {
      const cask = await state.need('cask', body.caskId);
      if (cask.positionId) await leavePosition(state, cask.positionId);
      await state.put('cask', {
        ...cask,
        status: 'retired',
        positionId: null,
        storeId: null,
        zoneId: null,
        positionSince: null,
      });
      await noteStanding(state, cask.id, at, null);
    },
  }),
};

async function settleOnTheSpot(
  state: TrackedStore,
  stocktakeId: string,
  caskId: string,
): Promise<void> {
  const line = await state.get('stocktake-line', lineId(stocktakeId, caskId));
  if (line?.state === 'misplaced')
    await state.put('stocktake-line', {
      ...line,
      resolution: 'move-to-found: booked where it was found, during the count',
    });
}
