import type { Content, LiquidFigures } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import { add, EMPTY, ethanolMg, figuresOf, rescale } from '../liquid/content.ts';
import { gaugeReadings } from '../liquid/gauge-readings.ts';
import { ageDays, requireFilled, requireNotReserved } from './checks.ts';
import {
  drawFromFilling,
  endFilling,
  noteEvent,
  postCask,
  putContent,
  requireFits,
} from './filling-record.ts';
import { handler } from './handler.ts';
import { drawFromVat, postVat, requireKeptApart, youngest } from './vats.ts';

interface Drawn {
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly differenceMg: number;
  readonly agedDays: number;
  readonly wholeCask: boolean;
}

/** Spirit is drawn between vessels: topping a cask up, or disgorging one into a vat. */
export const caskDrawingActs = {
  'cask.top-up': handler<
    'cask.top-up',
    { content: Content; figures: LiquidFigures; agedDays: number | null }
  >({
    async decide({ body, happenedAt }, { state }) {
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      requireFits(cask, filling.figures.bulkLitresAt20C + body.bulkLitresAt20C);
      if (body.source.kind === 'vat') {
        const vat = await state.need('vat', body.source.vatId, '/body/source/vatId');
        requireKeptApart(vat, filling);
        const content = drawFromVat(vat, body.bulkLitresAt20C);
        return { content, figures: figuresOf(content), agedDays: vat.agedDays };
      }
      if (body.source.caskId === body.caskId)
        throw new DomainError(
          'nothing-to-do',
          'A cask cannot be topped up from itself.',
          {},
          '/body/source/caskId',
        );
      const from = await requireFilled(
        state,
        body.source.caskId,
        happenedAt,
        '/body/source/caskId',
      );
      requireNotReserved(from.filling);
      requireKeptApart(from.filling, filling);
      const content = drawFromFilling(from.filling, body.bulkLitresAt20C);
      return { content, figures: figuresOf(content), agedDays: ageDays(from.filling, happenedAt) };
    },
    async fold({ body, happenedAt }, { content, figures, agedDays }, context) {
      const { state, at } = context;
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      if (body.source.kind === 'vat') {
        const vat = await state.need('vat', body.source.vatId);
        await state.changeVat(vat.id, { out: content });
        await postVat(context, vat, 'topped-up', -ethanolMg(content));
      } else {
        const from = await requireFilled(state, body.source.caskId, happenedAt);
        await putContent(context, from.filling, minus(from.filling.content, content), {});
        await noteEvent(context, from.filling, 'part-drawn', figures);
        await postCask(context, from.filling, 'topped-up', -ethanolMg(content));
      }
      // The youngest part gives the age: a top-up with younger spirit makes the cask younger.
      const age = Math.min(ageDays(filling, at), agedDays ?? 0);
      await putContent(context, filling, add(filling.content, content), {
        agedFrom: at,
        agedDaysBefore: age,
      });
      await noteEvent(context, filling, 'top-up', figures);
      await postCask(context, filling, 'topped-up', ethanolMg(content));
    },
  }),

  'cask.disgorge': handler<'cask.disgorge', Drawn>({
    async decide({ body, happenedAt }, { state }) {
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      requireKeptApart(filling, vat);
      if (filling.holdReason)
        throw new DomainError(
          'cask-on-hold',
          `Cask ${cask.code} is on hold: ${filling.holdReason}.`,
          { caskId: cask.id },
          '/body/caskId',
        );
      if (body.planId) {
        const plan = await state.need('blend-plan', body.planId, '/body/planId');
        if (plan.status !== 'reserved' && plan.status !== 'drawing')
          throw new DomainError(
            'plan-closed',
            `Plan ${plan.code} is ${plan.status}; reserve it before drawing casks for it.`,
            { planId: plan.id, status: plan.status },
            '/body/planId',
          );
        if (!plan.parts.some((p) => p.fillingId === filling.id))
          throw new DomainError(
            'plan-closed',
            `Cask ${cask.code} is not in plan ${plan.code}. Check the label; nothing has been drawn.`,
            { planId: plan.id, caskId: cask.id },
            '/body/caskId',
          );
      }
      requireNotReserved(filling, body.planId);
      const gauged = body.readings ? gaugeReadings(body.readings, cask) : null;
      const book = gauged
        ? rescale(filling.content, gauged.ethanolMg, gauged.waterMg)
        : filling.content;
      const whole = body.bulkLitresAt20C === null;
      const content = whole
        ? book
        : drawFromFilling(
            { ...filling, content: book, figures: figuresOf(book) },
            body.bulkLitresAt20C ?? 0,
          );
      return {
        content,
        figures: figuresOf(content),
        differenceMg: ethanolMg(book) - ethanolMg(filling.content),
        agedDays: ageDays(filling, happenedAt),
        wholeCask: whole,
      };
    },
    async fold({ body, happenedAt }, outcome, context) {
      const { state } = context;
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      const vat = await state.need('vat', body.vatId);
      await state.changeVat(vat.id, {
        in: outcome.content,
        agedDays: youngest(vat, outcome.agedDays),
      });
      await postCask(context, filling, 'gauge-difference', outcome.differenceMg);
      await postCask(context, filling, 'disgorged', -ethanolMg(outcome.content));
      await postVat(context, vat, 'disgorged', ethanolMg(outcome.content));
      if (outcome.wholeCask) await endFilling(context, cask, filling);
      else {
        const book = bookAfterGauge(filling.content, outcome);
        await putContent(context, filling, minus(book, outcome.content), {});
        await noteEvent(context, filling, 'part-drawn', outcome.figures);
      }
      if (body.planId)
        await state.changeDrawn(body.planId, {
          fillingId: filling.id,
          ethanolMg: ethanolMg(outcome.content),
        });
    },
  }),
};

/** A part draw with a gauge first: the book the gauge made, with the water the drawn part says. */
function bookAfterGauge(content: Content, outcome: Drawn): Content {
  if (outcome.differenceMg === 0) return content;
  const ethanol = ethanolMg(content) + outcome.differenceMg;
  const perMg = outcome.content.waterMg / ethanolMg(outcome.content);
  return rescale(content, ethanol, Math.round(ethanol * perMg));
}

function minus(a: Content, b: Content): Content {
  const left = {
    waterMg: Math.max(0, a.waterMg - b.waterMg),
    ethanolMgByLot: { ...a.ethanolMgByLot },
  };
  for (const [lot, mg] of Object.entries(b.ethanolMgByLot))
    left.ethanolMgByLot[lot] = Math.max(0, (left.ethanolMgByLot[lot] ?? 0) - mg);
  return add(left, EMPTY);
}
