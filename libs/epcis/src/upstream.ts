import type { ActOf, SubmittableKind } from '@rundlet/contracts';
import type { EpcisEvent, Quantity } from './events.ts';
import { PREFIX } from './write.ts';

type UpstreamKind = 'harvest.record' | 'ferment.record' | 'still-run.record' | 'spirit-lot.record';
type UpstreamRecord = 'harvest-lot' | 'ferment' | 'still-run' | 'spirit-lot' | 'plot';

export interface Upstream {
  /** What an identifier stands for in the estate's records, or among the events before this one. */
  readonly known: (uri: string, kind: UpstreamRecord) => Promise<string | null>;
  /** The same id for the same text each time, so that an event that comes twice is one act. */
  readonly idFor: (text: string) => string;
}

export type Taken =
  | { readonly status: 'act'; readonly act: ActOf<UpstreamKind>; readonly makes: string }
  | { readonly status: 'left'; readonly reason: string };

/**
 * The act an event of a farm or still house comes to: harvests (things in kilograms come to be), ferments (kilograms become
 * litres), distillation runs (litres become stronger litres) and spirit lots (named parts of runs). Everything else is
 * left, with the reason.
 */
export async function upstreamAct(event: EpcisEvent, upstream: Upstream): Promise<Taken> {
  if (event.errorDeclaration) return left('it is declared to be an error');
  const made =
    event.type === 'ObjectEvent' && event.action === 'ADD'
      ? event.quantityList
      : event.type === 'TransformationEvent'
        ? event.outputQuantityList
        : undefined;
  const output = made?.[0];
  if (!output || made.length !== 1)
    return left('it does not make one lot of something, counted by weight or volume');
  const facts = { event, output, ilmd: ilmdOf(event), upstream };
  const inputs = event.type === 'TransformationEvent' ? (event.inputQuantityList ?? []) : [];
  if (inputs.length === 0)
    return output.uom === 'KGM' ? harvest(facts) : left('it makes a liquid out of nothing');
  if (output.uom === 'LTR' && inputs.every((i) => i.uom === 'KGM')) return ferment(facts, inputs);
  if (output.uom === 'LTR' && inputs.every((i) => i.uom === 'LTR')) return stillRun(facts, inputs);
  if (output.quantity === undefined) return spiritLot(facts, inputs);
  return left('its weights and volumes are those of no harvest, ferment or distillation');
}

interface Facts {
  readonly event: EpcisEvent;
  readonly output: Quantity;
  readonly ilmd: Readonly<Record<string, unknown>>;
  readonly upstream: Upstream;
}

async function harvest({ event, output, ilmd, upstream }: Facts): Promise<Taken> {
  const plotUri = event.readPoint?.id ?? '';
  const plotId = await upstream.known(plotUri, 'plot');
  if (!plotId)
    return left(`its readPoint ${plotUri || '(none)'} is no plot of the estate’s records`);
  const sugar = number(ilmd, 'sugarPercentMass');
  if (sugar === null)
    return left(`it does not say ${PREFIX}:sugarPercentMass, the sugar in % by mass`);
  if (output.quantity === undefined) return left('it does not say how much was harvested');
  return act(event, upstream, 'harvest.record', output.epcClass, {
    plotId,
    harvestedOn: text(ilmd, 'harvestedOn') ?? event.eventTime.slice(0, 10),
    massKg: output.quantity,
    sugarPercentMass: sugar,
  });
}

async function ferment(
  { event, output, ilmd, upstream }: Facts,
  inputs: readonly Quantity[],
): Promise<Taken> {
  const strength = strengthOf(event);
  if (strength === null) return left('no sensor reports its strength (VolumeFraction in VP)');
  const parts: { harvestLotId: string; massKg: number }[] = [];
  for (const { epcClass, quantity } of inputs) {
    const harvestLotId = await upstream.known(epcClass, 'harvest-lot');
    if (!harvestLotId || quantity === undefined)
      return left(`its input ${epcClass} is no known harvest lot, or has no weight`);
    parts.push({ harvestLotId, massKg: quantity });
  }
  const day = event.eventTime.slice(0, 10);
  return act(event, upstream, 'ferment.record', output.epcClass, {
    vessel: text(ilmd, 'vessel') ?? 'not told',
    yeast: text(ilmd, 'yeast') ?? 'not told',
    startedOn: text(ilmd, 'startedOn') ?? day,
    endedOn: text(ilmd, 'endedOn') ?? day,
    inputs: parts,
    bulkLitresAt20C: output.quantity ?? 0,
    strengthPercentVol: strength,
  });
}

async function stillRun(
  { event, output, ilmd, upstream }: Facts,
  inputs: readonly Quantity[],
): Promise<Taken> {
  const strength = strengthOf(event);
  if (strength === null) return left('no sensor reports its strength (VolumeFraction in VP)');
  const parts: { fermentId: string; bulkLitresAt20C: number }[] = [];
  for (const { epcClass, quantity } of inputs) {
    const fermentId = await upstream.known(epcClass, 'ferment');
    if (!fermentId || quantity === undefined)
      return left(`its input ${epcClass} is no known ferment, or has no volume`);
    parts.push({ fermentId, bulkLitresAt20C: quantity });
  }
  return act(event, upstream, 'still-run.record', output.epcClass, {
    still: text(ilmd, 'still') ?? 'not told',
    ranOn: text(ilmd, 'ranOn') ?? event.eventTime.slice(0, 10),
    inputs: parts,
    headsLitresAt20C: number(ilmd, 'headsLitresAt20C') ?? 0,
    heartsLitresAt20C: output.quantity ?? 0,
    heartsStrengthPercentVol: strength,
    tailsLitresAt20C: number(ilmd, 'tailsLitresAt20C') ?? 0,
  });
}

async function spiritLot(
  { event, output, ilmd, upstream }: Facts,
  inputs: readonly Quantity[],
): Promise<Taken> {
  const shares = ilmd[`${PREFIX}:shares`];
  const parts: { stillRunId: string; share: number }[] = [];
  for (const [i, { epcClass }] of inputs.entries()) {
    const stillRunId = await upstream.known(epcClass, 'still-run');
    if (!stillRunId) return left(`its input ${epcClass} is no known distillation run`);
    const share = inputs.length === 1 ? 1 : Array.isArray(shares) ? Number(shares[i]) : NaN;
    if (!(share > 0)) return left(`it does not say ${PREFIX}:shares, the share of each run`);
    parts.push({ stillRunId, share });
  }
  const name = text(ilmd, 'name') ?? codeOf(output.epcClass);
  return act(event, upstream, 'spirit-lot.record', output.epcClass, { name, inputs: parts });
}

function act<K extends UpstreamKind>(
  event: EpcisEvent,
  { idFor }: Upstream,
  kind: K,
  makes: string,
  body: Omit<ActOf<K>['body'], 'id' | 'code'>,
): Taken {
  return {
    status: 'act',
    makes,
    act: {
      id: idFor(event.eventID ?? JSON.stringify(event)),
      kind,
      happenedAt: new Date(event.eventTime).toISOString(),
      body: { id: idFor(makes), code: codeOf(makes), ...body },
    } as unknown as ActOf<K & SubmittableKind>,
  };
}

/** The last word of an identifier, as a code of ours may be written. */
function codeOf(uri: string): string {
  const last = decodeURIComponent(uri.split(/[/:]/).at(-1) ?? uri);
  return last
    .toUpperCase()
    .replace(/[^0-9A-Z./-]+/g, '-')
    .replace(/^[./-]+/, '')
    .slice(0, 40);
}

function strengthOf(event: EpcisEvent): number | null {
  for (const { sensorReport } of event.sensorElementList ?? [])
    for (const { type, value, uom } of sensorReport)
      if (type === 'VolumeFraction' && (uom === 'VP' || uom === 'P1') && value !== undefined)
        return value;
  return null;
}

const ilmdOf = (event: EpcisEvent): Readonly<Record<string, unknown>> =>
  'ilmd' in event ? ((event.ilmd as Record<string, unknown> | undefined) ?? {}) : {};
function text(ilmd: Readonly<Record<string, unknown>>, name: string): string | null {
  const value = ilmd[`${PREFIX}:${name}`];
  return typeof value === 'string' && value !== '' ? value : null;
}
function number(ilmd: Readonly<Record<string, unknown>>, name: string): number | null {
  const value = ilmd[`${PREFIX}:${name}`];
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}
const left = (reason: string): Taken => ({ status: 'left', reason });
