import type { ActKind, BodyOf, JournalEntry, LiquidFigures } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '../liquid/content.ts';
import { stowWords } from '../stow/words.ts';

/** Names for ids; what isn't known is called by its id's end. */
export type NameOf = (
  kind:
    | 'cask'
    | 'vat'
    | 'position'
    | 'zone'
    | 'store'
    | 'account'
    | 'spirit-lot'
    | 'blend-plan'
    | 'stocktake'
    | 'plot'
    | 'harvest-lot'
    | 'ferment'
    | 'still-run',
  id: string,
) => string;

const litres = (v: number) => `${v.toFixed(1)} L`;
const liquid = (f: LiquidFigures) =>
  `${litres(f.bulkLitresAt20C)} at ${f.strengthPercentVol.toFixed(2)} % vol (${f.litresPureAlcohol.toFixed(2)} LPA)`;
const signed = (mg: number) => {
  const lpa = litresPureAlcoholOfMg(mg);
  return `${lpa < 0 ? '−' : '+'}${Math.abs(lpa).toFixed(2)} LPA`;
};

/** What a plan's entries were, where one is undone. */
const UNDONE: Readonly<Record<string, string>> = {
  'cask.disgorge': 'a cask was not drawn after all',
  'vat.reduce': 'the water did not go in after all',
  'vat.gauge': 'the gauge of the vat does not hold',
};

const JUDGED: Record<BodyOf<'gauge.judge'>['verdict'], string> = {
  leak: 'A leak was confirmed after a gauge',
  confirmed: 'A suspicion was dismissed, the reading stands: gauge',
  dismissed: 'A reading was set aside as wrong: gauge',
  regauge: 'Another reading was asked for after a gauge',
};

/** What a fact of the chain is called, and its unit. */
export const FACT_WORDS: Readonly<Record<string, readonly [name: string, unit?: string]>> = {
  code: ['code'],
  name: ['name'],
  areaHa: ['area', 'ha'],
  soil: ['soil'],
  crop: ['crop'],
  variety: ['variety'],
  plantedYear: ['year of planting'],
  plotId: ['plot'],
  harvestedOn: ['day of the harvest'],
  massKg: ['weight', 'kg'],
  sugarPercentMass: ['sugar', '% of the weight'],
  vessel: ['vessel'],
  yeast: ['yeast'],
  startedOn: ['start'],
  endedOn: ['end'],
  inputs: ['what it was made of'],
  bulkLitresAt20C: ['volume', 'L'],
  strengthPercentVol: ['strength', '% vol'],
  still: ['still'],
  ranOn: ['day of the run'],
  headsLitresAt20C: ['heads', 'L'],
  heartsLitresAt20C: ['hearts', 'L'],
  heartsStrengthPercentVol: ['strength of the hearts', '% vol'],
  tailsLitresAt20C: ['tails', 'L'],
};

/** A fact's value in words; what a step was made of as each part with how much. */
function factValue(fact: string, value: unknown, name: NameOf): string {
  if (value === null) return 'nothing';
  if (fact === 'plotId') return name('plot', value as string);
  if (fact === 'inputs')
    return (
      (value as BodyOf<'ferment.record' | 'still-run.record' | 'spirit-lot.record'>['inputs'])
        .map((input) =>
          'harvestLotId' in input
            ? `${name('harvest-lot', input.harvestLotId)} ${String(input.massKg)} kg`
            : 'fermentId' in input
              ? `${name('ferment', input.fermentId)} ${litres(input.bulkLitresAt20C)}`
              : `${name('still-run', input.stillRunId)} ${(input.share * 100).toFixed(1)} %`,
        )
        .join(' and ') || 'nothing'
    );
  const unit = FACT_WORDS[fact]?.[1];
  const told = typeof value === 'string' ? value : JSON.stringify(value);
  return unit === undefined ? told : `${told} ${unit}`;
}

interface Change {
  readonly fact: string;
  readonly from: unknown;
  readonly to: unknown;
}
const changed = ({ fact, from, to }: Change, name: NameOf): string =>
  `${FACT_WORDS[fact]?.[0] ?? fact} ${factValue(fact, to, name)} instead of ${factValue(fact, from, name)}`;

type Words = { [K in ActKind]: (body: BodyOf<K>, outcome: never, name: NameOf) => string };
type WithFigures = { figures: LiquidFigures };

const WORDS: Words = {
  'store.register': (b) => `Store ${b.code} ${b.name} set up.`,
  'zone.register': (b, _, n) => `Zone ${b.code} ${b.name} set up in ${n('store', b.storeId)}.`,
  'zone.describe': (b, _, n) => `${n('zone', b.zoneId)} is stowed ${stowWords(b.stow)}.`,
  'position.register': (b, _, n) =>
    `${String(b.positions.length)} rack positions set up in ${n('zone', b.zoneId)}, ${b.positions[0]?.code ?? ''} to ${b.positions.at(-1)?.code ?? ''}.`,
  'account.register': (b) => `Account ${b.code} ${b.name} opened.`,
  'vat.register': (b) =>
    `Vat ${b.code} ${b.name} of ${litres(b.capacityLitres)} set up${b.dutyStatus === 'paid' ? ', for duty-paid spirit' : ''}.`,
  'plot.record': (b) => `Plot ${b.code} ${b.name} recorded: ${b.variety}, ${String(b.areaHa)} ha.`,
  'harvest.record': (b, _, n) =>
    `Harvest lot ${b.code}: ${String(b.massKg)} kg from ${n('plot', b.plotId)} on ${b.harvestedOn}.`,
  'ferment.record': (b) =>
    `Ferment ${b.code} in ${b.vessel}: ${litres(b.bulkLitresAt20C)} at ${b.strengthPercentVol.toFixed(2)} % vol.`,
  'still-run.record': (b) =>
    `Distillation run ${b.code} on ${b.still}: hearts ${litres(b.heartsLitresAt20C)} at ${b.heartsStrengthPercentVol.toFixed(2)} % vol.`,
  'spirit-lot.record': (b) => `Spirit lot ${b.code} ${b.name} recorded.`,
  'step.correct': (
    b,
    o: { code: string; changes: readonly Change[]; late: readonly string[] },
    n,
  ) =>
    `Correction of ${b.kind.replace('-', ' ')} ${o.code}: ${[
      ...o.changes.map((change) => changed(change, n)),
      ...o.late.map(
        (fact) => `${FACT_WORDS[fact]?.[0] ?? fact} stays as a later correction set it`,
      ),
    ].join('; ')}. Reason: ${b.reason}`,
  'spirit.receive': (b, o: WithFigures, n) =>
    `${n('spirit-lot', b.lotId)} received into ${n('vat', b.vatId)}: ${liquid(o.figures)}.`,
  'vat.gauge': (b, o: WithFigures & { ethanolDifferenceMg: number }, n) =>
    `${n('vat', b.vatId)} gauged at ${liquid(o.figures)}; ${signed(o.ethanolDifferenceMg)} booked as ${b.cause.replace('-', ' ')}.`,
  'vat.reduce': (b, o: { after: LiquidFigures; contractionLitres: number }, n) =>
    `${n('vat', b.vatId)} reduced with ${litres(b.waterLitres)} of water to ${liquid(o.after)}; ${litres(o.contractionLitres)} contraction.`,
  'vat.transfer': (b, o: WithFigures, n) =>
    `${liquid(o.figures)} pumped from ${n('vat', b.fromVatId)} to ${n('vat', b.toVatId)}.`,
  'vat.deliver': (b, o: WithFigures, n) =>
    `${liquid(o.figures)} ${b.kind} from ${n('vat', b.vatId)} to ${b.to}.`,
  'cask.register': (b) =>
    `Cask ${b.code} registered: ${b.cooperage.kind}, ${b.cooperage.woodSpecies}, before it ${b.cooperage.previousContents}.`,
  'cask.fill': (b, o: WithFigures & { fillNumber: number }, n) =>
    `${n('cask', b.caskId)} filled from ${n('vat', b.vatId)} by ${b.readings.method}: ${liquid(o.figures)}; filling ${String(o.fillNumber)} of the wood${b.positionId ? `, to ${n('position', b.positionId)}` : ''}.`,
  'cask.gauge': (b, o: WithFigures & { differenceMg: number; late: boolean; verdict: string }, n) =>
    `${n('cask', b.caskId)} gauged by ${b.readings.method}: ${liquid(o.figures)}; ${o.late ? 'kept as a measurement, a newer gauge had set the book' : `${signed(o.differenceMg)} since the book`}${o.verdict.startsWith('possible') ? `; ${o.verdict.replace('-', ' ')}` : ''}.`,
  'cask.move': (b, o: { fromPositionId: string | null; superseded: boolean }, n) =>
    `${n('cask', b.caskId)} moved ${o.fromPositionId ? `from ${n('position', o.fromPositionId)} ` : ''}to ${n('position', b.positionId)}${o.superseded ? '; a newer move had already been entered' : ''}${b.stocktakeId ? `, where ${n('stocktake', b.stocktakeId)} found it` : ''}.`,
  'cask.top-up': (b, o: WithFigures, n) =>
    `${n('cask', b.caskId)} topped up from ${b.source.kind === 'vat' ? n('vat', b.source.vatId) : n('cask', b.source.caskId)} with ${liquid(o.figures)}.`,
  'cask.re-rack': (b, o: WithFigures, n) =>
    `${n('cask', b.fromCaskId)} re-racked into ${n('cask', b.toCaskId)}: ${liquid(o.figures)}.`,
  'cask.sample': (b, o: WithFigures, n) =>
    `Sample ${b.code} of ${litres(o.figures.bulkLitresAt20C)} drawn from ${n('cask', b.caskId)} for ${b.purpose}.`,
  'cask.result': (b, _, n) =>
    `${b.kind === 'laboratory' ? 'Laboratory' : 'Panel'} result for ${n('cask', b.caskId)}: ${b.measure} ${String(b.value)} ${b.unit}.`,
  'cask.disgorge': (b, o: WithFigures & { wholeCask: boolean }, n) =>
    `${n('cask', b.caskId)} ${o.wholeCask ? 'emptied' : 'part-drawn'} into ${n('vat', b.vatId)}: ${liquid(o.figures)}${b.planId ? `, for ${n('blend-plan', b.planId)}` : ''}.`,
  'cask.inspect': (b, _, n) =>
    `${n('cask', b.caskId)} inspected: ${b.condition.replace('-', ' ')}. ${b.finding}`,
  'cask.note': (b, _, n) => `Note on ${n('cask', b.caskId)}: ${b.text}`,
  'cask.measure': (b, _, n) =>
    `${n('cask', b.caskId)} measured: bilge ${String(b.geometry.bilgeDiameterMm)}, head ${String(b.geometry.headDiameterMm)}, length ${String(b.geometry.lengthMm)} mm (${b.geometry.basis})${b.capacityLitres === null ? '' : `, brim-full ${litres(b.capacityLitres)}`}${b.tareKg === null ? '' : `, tare ${String(b.tareKg)} kg`}.`,
  'cask.alias': (b, _, n) => `${n('cask', b.caskId)} also answers to ${b.alias}.`,
  'cask.hold': (b, _, n) =>
    b.reason === null
      ? `${n('cask', b.caskId)} released from hold.`
      : `${n('cask', b.caskId)} put on hold: ${b.reason}.`,
  'cask.change-owner': (b, o: { fromAccountId: string }, n) =>
    `${n('cask', b.caskId)} passed from ${n('account', o.fromAccountId)} to ${n('account', b.accountId)}.`,
  'cask.release-duty': (b, o: WithFigures, n) =>
    `${n('cask', b.caskId)} released from duty suspension by ${b.reference}: ${liquid(o.figures)}, duty-paid from then on.`,
  'cask.retire': (b, _, n) => `${n('cask', b.caskId)} retired: ${b.reason}.`,
  'gauge.judge': (b, o: { caskId?: string }, n) =>
    `${JUDGED[b.verdict]}${o.caskId ? ` of ${n('cask', o.caskId)}` : ''}: ${b.reason}`,
  'stocktake.open': (b, o: { expected: unknown[] }) =>
    `Stock-take ${b.code} ${b.title} opened: ${String(o.expected.length)} casks expected.`,
  'stocktake.count': (b, o: { code: string }, n) =>
    `${o.code} counted in ${n('stocktake', b.stocktakeId)}${b.positionId ? ` at ${n('position', b.positionId)}` : ''}${b.damagedLabel ? ', label damaged' : ''}.`,
  'stocktake.reconcile': (b, o: { moves: unknown[] }, n) =>
    `${n('stocktake', b.stocktakeId)} reconciled: ${String(b.resolutions.length)} lines settled, ${String(o.moves.length)} casks moved to where they were found.`,
  'stocktake.recount': (b, o: { lineIds: unknown[] }, n) =>
    `${String(o.lineIds.length)} lines of ${n('stocktake', b.stocktakeId)} to be counted again: ${b.reason}.`,
  'stocktake.abandon': (b, _, n) => `${n('stocktake', b.stocktakeId)} given up: ${b.reason}.`,
  'stocktake.sign': (b, _, n) => `${n('stocktake', b.stocktakeId)} signed: ${b.statement}`,
  'plan.save': (b) =>
    `Plan ${b.code} ${b.name} saved: ${litres(b.targetLitresAt20C)} at ${b.targetStrengthPercentVol.toFixed(2)} % vol on ${b.blendOn} from ${String(b.parts.length)} casks.`,
  'plan.reserve': (b, _, n) =>
    `The casks of ${n('blend-plan', b.planId)} reserved, to be drawn into ${n('vat', b.vatId)}.`,
  'plan.release': (b, _, n) => `The casks of ${n('blend-plan', b.planId)} let go again.`,
  'plan.scan-out': (b, _, n) =>
    b.out
      ? `${n('cask', b.caskId)} scanned out for ${n('blend-plan', b.planId)}.`
      : `${n('cask', b.caskId)} put back; it was out for ${n('blend-plan', b.planId)}.`,
  'plan.take-back': (b, o: { kind: string }, n) =>
    `Undone for ${n('blend-plan', b.planId)}: ${UNDONE[o.kind] ?? o.kind}. ${b.reason}`,
  'plan.cancel': (b, _, n) => `${n('blend-plan', b.planId)} cancelled: ${b.reason}.`,
  'plan.complete': (b, o: WithFigures, n) =>
    `${n('blend-plan', b.planId)} vatted as blend ${b.code} ${b.name}: ${liquid(o.figures)}.`,
  'climate.import': (b, _, n) =>
    `${String(b.rowCount)} climate readings of ${n('zone', b.zoneId)} imported from ${b.logger}, ${b.firstAt.slice(0, 10)} to ${b.lastAt.slice(0, 10)}.`,
  'label.print': (b) =>
    `${String(b.subjects.length * b.copies)} labels printed (${b.templateId})${b.reason ? `: ${b.reason}` : ''}.`,
  'spare-label.print': (b) =>
    `${String(b.codes.length)} spare labels printed in advance (${b.templateId}), ${b.codes[0] ?? ''} to ${b.codes.at(-1) ?? ''}.`,
  'label-template.save': (b) =>
    b.template === null
      ? `Label template ${b.id} taken out of use.`
      : `Label template ${b.id} saved.`,
  'printer.save': (b) =>
    b.inUse
      ? `Printer ${b.name}: ${String(b.dpi)} dpi, moved ${String(b.rightMm)} mm right and ${String(b.downMm)} mm down.`
      : `Printer ${b.name} taken out of use.`,
  'account.close-month': (b, o: { lines: { closingMg: number }[] }) =>
    `${b.month} closed and locked: ${litresPureAlcoholOfMg(o.lines.reduce((sum, line) => sum + line.closingMg, 0)).toFixed(3)} LPA carried forward.`,
  'setting.set': (b) => `Setting ${b.key} set, in force from ${b.effectiveFrom}.`,
  'entry.reverse': (b, o: { kind: string }) =>
    `An earlier entry (${o.kind}) was reversed: ${b.reason}.`,
  'bottling.record': (b, o: WithFigures & { lossLitresAt20C: number }, n) =>
    `Bottling run ${b.code} ${b.name} from ${n('vat', b.vatId)}: ${String(b.bottles)} bottles of ${String(b.bottleMl)} mL out of ${liquid(o.figures)}, ${litres(o.lossLitresAt20C)} lost.`,
  'bottling.publish': (_, o: { told: string[]; withheld: string[] }) =>
    `A bottling run was published with ${o.told.join(', ').replaceAll('-', ' ') || 'nothing but its figures'}${o.withheld.length > 0 ? `; withheld: ${o.withheld.join(', ').replaceAll('-', ' ')}` : ''}.`,
  'signing-key.announce': (b) =>
    b.follows === null
      ? 'A first key to sign with was made.'
      : 'A new key to sign with took over from the one before.',
  'checkpoint.sign': (_, o: { seq: number }) =>
    `Checkpoint signed over the first ${String(o.seq)} entries.`,
  'act.hold': (b) => `An act from a device could not be applied and is held: ${b.problem.message}`,
  'held.settle': (b) =>
    `A held act was ${b.verdict === 'discard' ? 'discarded' : 'applied after all'}: ${b.reason}.`,
};

/** A journal entry told in one sentence. */
export function describeEntry(
  entry: Pick<JournalEntry, 'kind' | 'body' | 'outcome'>,
  name: NameOf,
): string {
  return (WORDS[entry.kind] as (body: unknown, outcome: unknown, name: NameOf) => string)(
    entry.body,
    entry.outcome,
    name,
  );
}
