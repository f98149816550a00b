import type { Act, ActKind, BodyOf } from '@rundlet/contracts';
import type { NameOf } from './describe.ts';

type Words = { [K in ActKind]?: (body: BodyOf<K>, name: NameOf) => string };

const litres = (v: number) => `${v.toFixed(1)} L`;

/** What can wait on a device, told before it has come to anything. */
const WORDS: Words = {
  'cask.move': (b, n) => `Move ${n('cask', b.caskId)} to ${n('position', b.positionId)}.`,
  'cask.gauge': (b, n) => `Gauge ${n('cask', b.caskId)} by ${b.readings.method}.`,
  'cask.sample': (b, n) =>
    `Draw sample ${b.code} of ${litres(b.bulkLitresAt20C)} from ${n('cask', b.caskId)} for ${b.purpose}.`,
  'cask.top-up': (b, n) =>
    `Top up ${n('cask', b.caskId)} with ${litres(b.bulkLitresAt20C)} from ${b.source.kind === 'vat' ? n('vat', b.source.vatId) : n('cask', b.source.caskId)}.`,
  'cask.inspect': (b, n) =>
    `Inspect ${n('cask', b.caskId)}: ${b.condition.replace('-', ' ')}. ${b.finding}`,
  'cask.note': (b, n) => `Note on ${n('cask', b.caskId)}: ${b.text}`,
  'cask.alias': (b, n) => `${n('cask', b.caskId)} also answers to ${b.alias}.`,
  'stocktake.count': (b, n) =>
    `Count ${b.caskId ? n('cask', b.caskId) : `“${b.scanned}”`} in ${n('stocktake', b.stocktakeId)}${b.positionId ? ` at ${n('position', b.positionId)}` : ''}.`,
  'plan.scan-out': (b, n) =>
    b.out
      ? `Scan ${n('cask', b.caskId)} out for ${n('blend-plan', b.planId)}.`
      : `Put ${n('cask', b.caskId)} back; it was out for ${n('blend-plan', b.planId)}.`,
  'label.print': (b) => `${String(b.subjects.length * b.copies)} labels printed (${b.templateId}).`,
};

/** An act that has not been booked, told in one sentence. */
export function describeIntent(act: Pick<Act, 'kind' | 'body'>, name: NameOf): string {
  const words = WORDS[act.kind] as ((body: unknown, name: NameOf) => string) | undefined;
  return words?.(act.body, name) ?? `An entry of the kind ${act.kind}.`;
}
