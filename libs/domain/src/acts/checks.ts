import type { Cask, Filling, RecordKind } from '@rundlet/contracts';
import { checkCode, checkGiai } from '@rundlet/identifiers';
import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';

const DAY_MS = 86_400_000;

/** Milliseconds since 1970 of an ISO instant in UTC, worked out from its digits (proleptic Gregorian). */
export function instantMs(instant: string): number {
  const m = /^(\d{4})-(\d{2})-(\d{2})(?:T(\d{2}):(\d{2}):(\d{2})(?:\.(\d{3}))?Z)?$/.exec(instant);
  if (!m) throw new RangeError(`not an instant in UTC: ${instant}`);
  const [year, month, day, hour, minute, second, milli] = m.slice(1).map((v) => Number(v ?? 0)) as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  return (
    daysFromCivil(year, month, day) * DAY_MS +
    hour * 3_600_000 +
    minute * 60_000 +
    second * 1000 +
    milli
  );
}

/** Days from 1970-01-01 of a civil date: years run from March so that the leap day ends them. */
function daysFromCivil(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfEra =
    yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146_097 + dayOfEra - 719_468;
}

export function daysBetween(from: string, to: string): number {
  return (instantMs(to) - instantMs(from)) / DAY_MS;
}

/** Days in oak of the youngest part of a filling at an instant. */
export function ageDays(filling: Pick<Filling, 'agedFrom' | 'agedDaysBefore'>, at: string): number {
  return Math.max(0, filling.agedDaysBefore + daysBetween(filling.agedFrom, at));
}

/** A phone's clock may be off; more than a day ahead of ours it is wrong. */
export function requireNotFuture(happenedAt: string, receivedAt: string): void {
  if (instantMs(happenedAt) > instantMs(receivedAt) + DAY_MS)
    throw new DomainError(
      'in-the-future',
      `The act is dated ${happenedAt}, more than a day after it arrived (${receivedAt}). Check the device's clock.`,
      { happenedAt, receivedAt },
      '/happenedAt',
    );
}

/** @throws DomainError `id-taken`, `code-taken` */
export async function requireNew(
  state: TrackedStore,
  kind: RecordKind,
  id: string,
  code: string | null,
  pointer = '/body',
): Promise<void> {
  if (await state.get(kind, id))
    throw new DomainError(
      'id-taken',
      `There is already a ${label(kind)} with this id.`,
      { kind, id },
      `${pointer}/id`,
    );
  if (code !== null) await requireFreeCode(state, kind, code, `${pointer}/code`);
}

/** @throws DomainError `code-taken` */
export async function requireFreeCode(
  state: TrackedStore,
  kind: RecordKind,
  code: string,
  pointer: string,
): Promise<void> {
  const holder = await state.records.idByUnique(kind, 'code', code);
  if (holder)
    throw new DomainError(
      'code-taken',
      `There is already a ${label(kind)} ${code}. Each code is given once; choose another.`,
      { kind, code, id: holder },
      pointer,
    );
}

/** A cask's printed code must carry its check character: a slip of the pen must not become a new cask. */
export function requireCaskCode(code: string, pointer = '/body/code'): void {
  const check = checkCode(code);
  if (check.status === 'ok' && check.kind === 'cask' && check.code === code) return;
  throw new DomainError(
    'wrong-check-character',
    `${code} is not a cask code: its check character doesn't fit. Take the next free code, or keep a cooper's or owner's number as an alias.`,
    { code, reason: check.status },
    pointer,
  );
}

/** @throws DomainError `wrong-key` for a GS1 asset identifier that cannot be one */
export function requireGiai(giai: string): void {
  const check = checkGiai(giai);
  if (check.status === 'ok') return;
  throw new DomainError(
    'wrong-key',
    `${giai} is not a GS1 asset identifier (8004)${'reason' in check ? `: ${check.reason}` : '.'}`,
    { giai },
    '/body/giai',
  );
}

/**
 * A code leads to one cask: no alias is another cask's alias or printed code. `own` may answer to it already by its code.
 * @throws DomainError `alias-taken`
 */
export async function requireFreeAlias(
  state: TrackedStore,
  alias: string,
  pointer: string,
  own: string | null = null,
): Promise<void> {
  const holder =
    (await state.records.idByUnique('cask', 'alias', alias)) ??
    (await state.records.idByUnique('cask', 'code', alias));
  if (holder === null) return;
  throw new DomainError(
    'alias-taken',
    `${holder === own ? 'This' : 'Another'} cask already answers to ${alias}.`,
    { alias, caskId: holder },
    pointer,
  );
}

/** @throws DomainError `record-not-found`, `cask-retired` */
export async function requireInUse(
  state: TrackedStore,
  caskId: string,
  pointer = '/body/caskId',
): Promise<Cask> {
  const cask = await state.need('cask', caskId, pointer);
  if (cask.status === 'retired')
    throw new DomainError('cask-retired', `Cask ${cask.code} is retired.`, { caskId }, pointer);
  return cask;
}

/** @throws DomainError `cask-retired`, `cask-empty`, `before-fill` */
export async function requireFilled(
  state: TrackedStore,
  caskId: string,
  at: string,
  pointer = '/body/caskId',
): Promise<{ cask: Cask; filling: Filling }> {
  const cask = await requireInUse(state, caskId, pointer);
  if (cask.fillingId === null)
    throw new DomainError(
      'cask-empty',
      `Cask ${cask.code} is empty; there is nothing in it to gauge or draw.`,
      { caskId },
      pointer,
    );
  const filling = await state.need('filling', cask.fillingId);
  if (at < filling.filledAt)
    throw new DomainError(
      'before-fill',
      `Cask ${cask.code} was filled on ${filling.filledAt.slice(0, 10)}; this is dated ${at.slice(0, 10)}, before the fill.`,
      { caskId, filledAt: filling.filledAt, happenedAt: at },
      '/happenedAt',
    );
  return { cask, filling };
}

export function requireNotReserved(filling: Filling, exceptPlanId: string | null = null): void {
  if (filling.reservedByPlanId !== null && filling.reservedByPlanId !== exceptPlanId)
    throw new DomainError(
      'cask-reserved',
      `Cask ${filling.caskCode} is reserved for another blend. Cancel that plan or leave the cask out.`,
      { fillingId: filling.id, planId: filling.reservedByPlanId },
      '/body/caskId',
    );
}

export function label(kind: RecordKind): string {
  return kind.replaceAll('-', ' ');
}
