import type { Content, FigureUncertainties, LiquidFigures } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import { ethanolMg, rescale } from '../liquid/content.ts';
import { gaugeReadings } from '../liquid/gauge-readings.ts';
import { ageDays, requireFilled, requireInUse, requireNew, requireNotReserved } from './checks.ts';
import {
  endFilling,
  newFilling,
  postCask,
  requireFits,
  startFilling,
  takePlace,
} from './filling-record.ts';
import { handler } from './handler.ts';
import { requireRoom } from './standing.ts';
import { postVat } from './vats.ts';

/** The last cask of a run may take this much more than the vat's book still holds: the two were gauged apart. */
const OVERDRAW_TOLERANCE = 0.03;

interface Filled {
  readonly taken: Content;
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly agedDays: number | null;
  readonly fillNumber: number;
  readonly differenceMg: number;
}
/** Spirit goes into a cask: from a vat, or from another cask when it is re-racked. */
export const caskFillingActs = {
  'cask.fill': handler<'cask.fill', Filled>({
    async decide({ body }, { state }) {
      const cask = await requireInUse(state, body.caskId);
      if (cask.fillingId)
        throw new DomainError(
          'cask-already-filled',
          `Cask ${cask.code} already holds spirit. Empty it first, or scan another.`,
          { caskId: cask.id, fillingId: cask.fillingId },
          '/body/caskId',
        );
      await requireNew(state, 'filling', body.fillingId, null);
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      if (body.positionId) await requireRoom(state, body.positionId, cask.positionId);
      const gauged = gaugeReadings(body.readings, cask);
      if (gauged.ethanolMg === 0)
        throw new DomainError(
          'reading-impossible',
          'A filling holds spirit; the readings say there is no alcohol in it. Check volume and strength.',
          { ...gauged.figures },
          '/body/readings',
        );
      requireFits(cask, gauged.figures.bulkLitresAt20C);
      const inVat = ethanolMg(vat.content);
      if (gauged.ethanolMg > inVat + gauged.ethanolMg * OVERDRAW_TOLERANCE || inVat === 0)
        throw new DomainError(
          'not-enough-liquid',
          `${vat.name} holds ${vat.figures.litresPureAlcohol.toFixed(1)} L of pure alcohol by the book; the cask was gauged at ${gauged.figures.litresPureAlcohol.toFixed(1)} L. Check the readings, or gauge the vat.`,
          { vatId: vat.id, inVat: vat.figures, inCask: gauged.figures },
          '/body/readings',
        );
      const taken = rescale(
        vat.content,
        Math.min(gauged.ethanolMg, inVat),
        Math.min(gauged.waterMg, vat.content.waterMg),
      );
      return {
        taken,
        content: rescale(taken, gauged.ethanolMg, gauged.waterMg),
        figures: gauged.figures,
        uncertainties: gauged.uncertainties,
        agedDays: vat.agedDays,
        fillNumber: cask.earlierFillings + cask.fillingsHere + 1,
        differenceMg: gauged.ethanolMg - ethanolMg(taken),
      };
    },
    async fold({ body }, outcome, context) {
      const { state, at } = context;
      const vat = await state.need('vat', body.vatId);
      const cask = await state.need('cask', body.caskId);
      await state.changeVat(vat.id, { out: outcome.taken });
      const standing = await takePlace(state, cask, body.positionId, at);
      const filling = newFilling(
        { ...cask, ...standing },
        body.fillingId,
        at,
        outcome,
        body.readings.method,
        vat,
        outcome.agedDays ?? 0,
        null,
      );
      await startFilling(context, { ...cask, ...standing }, filling);
      await postVat(context, vat, 'filled', -ethanolMg(outcome.taken));
      await postCask(context, filling, 'filled', ethanolMg(outcome.taken));
      await postCask(context, filling, 'filling-difference', outcome.differenceMg);
    },
  }),

  'cask.re-rack': handler<'cask.re-rack', Filled>({
    async decide({ body, happenedAt }, { state }) {
      const { filling } = await requireFilled(
        state,
        body.fromCaskId,
        happenedAt,
        '/body/fromCaskId',
      );
      requireNotReserved(filling);
      const to = await state.need('cask', body.toCaskId, '/body/toCaskId');
      if (to.status !== 'empty')
        throw new DomainError(
          'cask-not-empty',
          `Cask ${to.code} is not empty. Choose an empty, sound cask.`,
          { caskId: to.id },
          '/body/toCaskId',
        );
      await requireNew(state, 'filling', body.fillingId, null);
      if (body.positionId) await requireRoom(state, body.positionId, to.positionId);
      const gauged = body.readings ? gaugeReadings(body.readings, to) : null;
      const content = gauged
        ? rescale(filling.content, gauged.ethanolMg, gauged.waterMg)
        : filling.content;
      const figures = gauged?.figures ?? filling.figures;
      requireFits(to, figures.bulkLitresAt20C);
      return {
        taken: filling.content,
        content,
        figures,
        uncertainties: gauged?.uncertainties ?? filling.fillUncertainties,
        agedDays: ageDays(filling, happenedAt),
        fillNumber: to.earlierFillings + to.fillingsHere + 1,
        differenceMg: ethanolMg(content) - ethanolMg(filling.content),
      };
    },
    async fold({ body, happenedAt }, outcome, context) {
      const { state, at } = context;
      const from = await requireFilled(state, body.fromCaskId, happenedAt);
      const to = await state.need('cask', body.toCaskId);
      await endFilling(context, from.cask, from.filling);
      const standing = await takePlace(state, to, body.positionId, at);
      const filling = newFilling(
        { ...to, ...standing },
        body.fillingId,
        at,
        outcome,
        body.readings?.method ?? 'declared',
        from.filling,
        outcome.agedDays ?? 0,
        from.filling.id,
      );
      await startFilling(context, { ...to, ...standing }, filling);
      await postCask(context, from.filling, 're-racked', -ethanolMg(outcome.taken));
      await postCask(context, filling, 're-racked', ethanolMg(outcome.taken));
      await postCask(context, filling, 'gauge-difference', outcome.differenceMg);
    },
  }),
};
