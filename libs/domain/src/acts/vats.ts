import { densityKgPerM3 } from '@rundlet/alcoholometry';
import type {
  Content,
  DutyStatus,
  FigureUncertainties,
  LiquidFigures,
  Vat,
} from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import {
  add,
  contentOf,
  ethanolMg,
  figuresOf,
  isEmpty,
  kgToMg,
  part,
  rescale,
} from '../liquid/content.ts';
import { requireReceivable } from '../lineage/step-checks.ts';
import { gaugeReadings } from '../liquid/gauge-readings.ts';
import { handler, type FoldContext } from './handler.ts';

/** Part of a vat's content by volume at 20 °C. @throws DomainError `not-enough-liquid` */
export function drawFromVat(vat: Vat, bulkLitresAt20C: number): Content {
  const holds = vat.figures.bulkLitresAt20C;
  if (bulkLitresAt20C > holds * (1 + 1e-9))
    throw new DomainError(
      'not-enough-liquid',
      `${vat.name} holds ${holds.toFixed(1)} L by the book; ${bulkLitresAt20C.toFixed(1)} L can't be drawn.`,
      { vatId: vat.id, bulkLitresAt20C: holds },
      '/body/bulkLitresAt20C',
    );
  return part(vat.content, Math.min(1, bulkLitresAt20C / holds)).taken;
}

/** A ledger line for a vat. */
export async function postVat(
  { state, at }: FoldContext,
  vat: Vat,
  cause: Parameters<typeof state.post>[0]['cause'],
  mg: number,
): Promise<void> {
  await state.post({
    at,
    accountId: vat.accountId,
    storeId: vat.storeId,
    vesselKind: 'vat',
    vesselId: vat.id,
    fillingId: null,
    cause,
    dutyStatus: vat.dutyStatus,
    ethanolMg: mg,
  });
}

interface Received {
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
}
interface VatGauged {
  readonly before: LiquidFigures;
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly more: Content;
  readonly less: Content;
  readonly ethanolDifferenceMg: number;
}

export const vatActs = {
  'spirit.receive': handler<'spirit.receive', Received>({
    async decide({ body }, { state }) {
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      const lot = await state.need('spirit-lot', body.lotId, '/body/lotId');
      const gauged = gaugeReadings(body.readings, { capacityLitres: vat.capacityLitres });
      await requireReceivable(lot, lot.receivedMg + gauged.ethanolMg, state, '/body/lotId');
      const content = contentOf(body.lotId, {
        ethanolKg: gauged.ethanolMg / 1e6,
        waterKg: gauged.waterMg / 1e6,
      });
      return { content, figures: gauged.figures, uncertainties: gauged.uncertainties };
    },
    async fold({ body }, { content }, context) {
      const vat = await context.state.need('vat', body.vatId);
      await context.state.receive(body.lotId, ethanolMg(content));
      await context.state.changeVat(body.vatId, { in: content });
      await postVat(context, vat, 'received', ethanolMg(content));
    },
  }),

  'vat.gauge': handler<'vat.gauge', VatGauged>({
    async decide({ body }, { state }) {
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      const gauged = gaugeReadings(body.readings, { capacityLitres: vat.capacityLitres });
      return {
        ...differenceOf(vat.content, gauged),
        before: vat.figures,
        figures: gauged.figures,
        uncertainties: gauged.uncertainties,
      };
    },
    async fold({ body }, { more, less, ethanolDifferenceMg }, context) {
      const vat = await context.state.need('vat', body.vatId);
      await context.state.changeVat(body.vatId, { in: more, out: less, agedDays: vat.agedDays });
      await postVat(context, vat, body.cause, ethanolDifferenceMg);
    },
  }),

  'vat.reduce': handler<
    'vat.reduce',
    { waterMg: number; before: LiquidFigures; after: LiquidFigures; contractionLitres: number }
  >({
    async decide({ body }, { state }) {
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      if (isEmpty(vat.content))
        throw new DomainError(
          'not-enough-liquid',
          `${vat.name} is empty; there is nothing to reduce.`,
          { vatId: vat.id },
          '/body/vatId',
        );
      if (body.waterTemperatureC < 0)
        throw new DomainError(
          'reading-impossible',
          `Water at ${String(body.waterTemperatureC)} °C is ice; give its temperature between 0 and 40 °C.`,
          {},
          '/body/waterTemperatureC',
        );
      const waterKg = (body.waterLitres * densityKgPerM3(0, body.waterTemperatureC)) / 1000;
      const waterMg = kgToMg(waterKg);
      const after = figuresOf(add(vat.content, { waterMg, ethanolMgByLot: {} }));
      const waterLitresAt20C = (waterKg * 1000) / densityKgPerM3(0, 20);
      return {
        waterMg,
        before: vat.figures,
        after,
        contractionLitres: vat.figures.bulkLitresAt20C + waterLitresAt20C - after.bulkLitresAt20C,
      };
    },
    async fold({ body }, { waterMg }, { state }) {
      const vat = await state.need('vat', body.vatId);
      await state.changeVat(body.vatId, {
        in: { waterMg, ethanolMgByLot: {} },
        agedDays: vat.agedDays,
      });
    },
  }),

  'vat.transfer': handler<'vat.transfer', { content: Content; figures: LiquidFigures }>({
    async decide({ body }, { state }) {
      if (body.fromVatId === body.toVatId)
        throw new DomainError('nothing-to-do', 'The two vats are the same.', {}, '/body/toVatId');
      const from = await state.need('vat', body.fromVatId, '/body/fromVatId');
      const to = await state.need('vat', body.toVatId, '/body/toVatId');
      requireKeptApart(from, to);
      const content = drawFromVat(from, body.bulkLitresAt20C);
      return { content, figures: figuresOf(content) };
    },
    async fold({ body }, { content }, context) {
      const { state } = context;
      const from = await state.need('vat', body.fromVatId);
      const to = await state.need('vat', body.toVatId);
      await state.changeVat(from.id, { out: content });
      await state.changeVat(to.id, { in: content, agedDays: youngest(to, from.agedDays) });
      await postVat(context, from, 'transferred', -ethanolMg(content));
      await postVat(context, to, 'transferred', ethanolMg(content));
    },
  }),

  'vat.deliver': handler<'vat.deliver', { content: Content; figures: LiquidFigures }>({
    async decide({ body }, { state }) {
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      const content = drawFromVat(vat, body.bulkLitresAt20C);
      return { content, figures: figuresOf(content) };
    },
    async fold({ body }, { content }, context) {
      const vat = await context.state.need('vat', body.vatId);
      await context.state.changeVat(vat.id, { out: content });
      await postVat(context, vat, body.kind, -ethanolMg(content));
    },
  }),
};

/** What a gauge adds to and takes from a book, as contents. Lots keep their shares; more of an empty vat has no origin and is refused. */
export function differenceOf(
  book: Content,
  gauged: { ethanolMg: number; waterMg: number },
): { more: Content; less: Content; ethanolDifferenceMg: number } {
  const bookEthanol = ethanolMg(book);
  const ethanolDifferenceMg = gauged.ethanolMg - bookEthanol;
  const waterDifferenceMg = gauged.waterMg - book.waterMg;
  const after = rescale(book, gauged.ethanolMg, gauged.waterMg);
  const byLot = (sign: 1 | -1) =>
    Object.fromEntries(
      Object.keys(book.ethanolMgByLot)
        .map(
          (lot) =>
            [
              lot,
              sign * ((after.ethanolMgByLot[lot] ?? 0) - (book.ethanolMgByLot[lot] ?? 0)),
            ] as const,
        )
        .filter(([, mg]) => mg > 0),
    );
  return {
    more: { waterMg: Math.max(0, waterDifferenceMg), ethanolMgByLot: byLot(1) },
    less: { waterMg: Math.max(0, -waterDifferenceMg), ethanolMgByLot: byLot(-1) },
    ethanolDifferenceMg,
  };
}

/** Age of the youngest part once `agedDays` comes in; spirit that never lay in oak makes the whole unaged. */
export function youngest(vat: Vat, agedDays: number | null): number | null {
  if (isEmpty(vat.content)) return agedDays;
  if (vat.agedDays === null || agedDays === null) return null;
  return Math.min(vat.agedDays, agedDays);
}

/**
 * Liquids of different owners, or one that is duty-paid and one that is not, never come together.
 * @throws DomainError `different-accounts`, `different-duty-status`
 */
export function requireKeptApart(from: Kept & { caskCode?: string }, to: Kept): void {
  const which = from.caskCode === undefined ? '' : `Cask ${from.caskCode}: `;
  if (from.accountId !== to.accountId)
    throw new DomainError(
      'different-accounts',
      `${which}The two belong to different accounts. Change the owner first, so that the account says whose alcohol it is.`,
      { from: from.accountId, to: to.accountId },
    );
  if (from.dutyStatus !== to.dutyStatus)
    throw new DomainError(
      'different-duty-status',
      `${which}${DUTY_SPIRIT[from.dutyStatus]} can't be put to ${DUTY_SPIRIT[to.dutyStatus].toLowerCase()}: nobody could say afterwards on how much of it duty is owed. ${
        from.dutyStatus === 'paid'
          ? 'Use a vessel for duty-paid spirit.'
          : 'Use a vessel under suspension, or release the spirit first; check with your authority.'
      }`,
      { from: from.dutyStatus, to: to.dutyStatus },
    );
}
type Kept = Pick<Vat, 'accountId' | 'dutyStatus'>;
const DUTY_SPIRIT: Record<DutyStatus, string> = {
  suspended: 'Spirit under duty suspension',
  paid: 'Duty-paid spirit',
};
