import type { BottlingRun, Content, LiquidFigures } from '@rundlet/contracts';
import { checkGtin } from '@rundlet/identifiers';
import { BottlingStatement, checkStatement } from '@rundlet/statements';
import { DomainError } from '../errors.ts';
import { blendShares, type Shares } from '../lineage/shares.ts';
import { ethanolMg, figuresOf, lotShares } from '../liquid/content.ts';
import { publicKeyOf } from './checkpoints.ts';
import { requireNew } from './checks.ts';
import { handler } from './handler.ts';
import { drawFromVat, postVat } from './vats.ts';

/** Bottles are filled to within this of their size, and the vat was gauged apart: common practice, no published source. */
const MORE_THAN_DRAWN = 1.005;

interface Bottled {
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly bottledMg: number;
  readonly lossMg: number;
  readonly lossLitresAt20C: number;
  readonly lotShares: Record<string, number>;
  readonly plotShares: Record<string, number>;
  readonly fillings: BottlingRun['fillings'];
}

export const bottlingActs = {
  'bottling.record': handler<'bottling.record', Bottled>({
    async decide({ body }, { state }) {
      await requireNew(state, 'bottling-run', body.id, body.code);
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      if (body.gtin !== null && checkGtin(body.gtin).status !== 'ok')
        throw new DomainError(
          'wrong-check-character',
          `${body.gtin} is no GTIN: its last digit does not fit the others. Check it digit by digit.`,
          {},
          '/body/gtin',
        );
      const blend = body.blendId ? await state.need('blend', body.blendId, '/body/blendId') : null;
      if (blend && blend.vatId !== vat.id)
        throw new DomainError(
          'record-not-found',
          `Blend ${blend.code} was not made in ${vat.name}. Choose the vat it is in, or no blend.`,
          {},
          '/body/blendId',
        );
      const content = drawFromVat(vat, body.bulkLitresAt20C);
      const inBottles = (body.bottles * body.bottleMl) / 1000;
      if (inBottles > body.bulkLitresAt20C * MORE_THAN_DRAWN)
        throw new DomainError(
          'impossible-yield',
          `${String(body.bottles)} bottles of ${String(body.bottleMl)} mL hold ${inBottles.toFixed(1)} L; only ${body.bulkLitresAt20C.toFixed(1)} L were drawn.`,
          { inBottlesLitres: inBottles },
          '/body/bottles',
        );
      const total = ethanolMg(content);
      const bottledMg = Math.round(total * Math.min(1, inBottles / body.bulkLitresAt20C));
      const lots = lotShares(content);
      const plots: { weight: number; shares: Shares }[] = [];
      for (const [lotId, share] of Object.entries(lots))
        plots.push({ weight: share, shares: (await state.need('spirit-lot', lotId)).plotShares });
      return {
        content,
        figures: figuresOf(content),
        bottledMg,
        lossMg: total - bottledMg,
        lossLitresAt20C: Math.max(0, body.bulkLitresAt20C - inBottles),
        lotShares: lots,
        plotShares: blendShares(plots),
        fillings: (blend?.fillings ?? []).map(({ fillingId, ethanolShare }) => ({
          fillingId,
          ethanolShare,
        })),
      };
    },
    async fold({ body }, o, context) {
      const { state, at } = context;
      const vat = await state.need('vat', body.vatId);
      if (body.blendId) state.mention('blend', body.blendId);
      await state.changeVat(vat.id, { out: o.content });
      await postVat(context, vat, 'bottled', -o.bottledMg);
      await postVat(context, vat, 'bottling-loss', -o.lossMg);
      await state.put('bottling-run', {
        id: body.id,
        code: body.code,
        name: body.name,
        vatId: vat.id,
        blendId: body.blendId,
        at,
        figures: o.figures,
        bottles: body.bottles,
        bottleMl: body.bottleMl,
        labelStrengthPercentVol: body.labelStrengthPercentVol,
        lossLitresAt20C: o.lossLitresAt20C,
        gtin: body.gtin,
        lotShares: o.lotShares,
        plotShares: o.plotShares,
        fillings: o.fillings,
        statement: null,
      });
    },
  }),

  'bottling.publish': handler<'bottling.publish', { told: string[]; withheld: string[] }>({
    async decide({ body }, { state }) {
      const run = await state.need('bottling-run', body.runId, '/body/runId');
      const named = checkStatement(body.statement, []);
      const key =
        named.status === 'unknown-key' && named.kid
          ? await state.get('signing-key', named.kid)
          : null;
      const checked = checkStatement(body.statement, key ? [publicKeyOf(key)] : []);
      const said = checked.status === 'good' ? BottlingStatement.safeParse(checked.payload) : null;
      if (!said?.success || said.data.run !== run.code)
        throw new DomainError(
          'signature-wrong',
          'This is no signed statement about the run.',
          {},
          '/body/statement',
        );
      return { told: Object.keys(said.data.told).sort(), withheld: said.data.withheld };
    },
    async fold({ body }, _, { state }) {
      const run = await state.need('bottling-run', body.runId);
      await state.put('bottling-run', { ...run, statement: body.statement });
    },
  }),
};
