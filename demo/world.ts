import type { Act, ActKind, BodyOf } from '@rundlet/contracts';
import type { Liquid } from '@rundlet/alcoholometry';
import { Agenda } from './agenda.ts';
import { dateOf, dayOf, dayOfDate, instantOf, msOf, yearOf } from './calendar.ts';
import type { MadeCask } from './cooperage.ts';
import type { ZonePlan } from './estate.ts';
import { identities } from './identity.ts';
import { mature, type Contents } from './maturing.ts';
import { randomStream, type Random } from './random.ts';
import type { ZoneAir } from './weather.ts';

export interface HistoryOptions {
  /** same seed, same estate */
  readonly seed: string;
  /** the day the demo is looked at, ISO date; the history ends some weeks before */
  readonly today: string;
  /** about how many casks the estate owns at the end */
  readonly casks: number;
}

export interface Slot {
  readonly id: string;
  readonly zone: DemoZone;
  /** its place in the zone's walking order */
  readonly index: number;
  readonly capacity: number;
  occupied: number;
}
export interface DemoZone {
  readonly id: string;
  readonly storeId: string;
  readonly code: string;
  readonly name: string;
  readonly plan: ZonePlan | null;
  /** null in the yard, where nothing matures */
  readonly air: ZoneAir | null;
  readonly slots: Slot[];
  readonly freed: Slot[];
  nextSlot: number;
  readonly casks: Set<DemoCask>;
}
export interface DemoCask {
  readonly id: string;
  readonly code: string;
  readonly made: MadeCask;
  slot: Slot;
  filling: DemoFilling | null;
  fillingsBefore: number;
}
export interface DemoFilling {
  readonly id: string;
  readonly cask: DemoCask;
  /** what is really in the cask */
  readonly contents: Contents;
  /** what the book says, kg */
  book: Liquid;
  readonly lotCode: string;
  readonly generation: number;
  account: string;
  drunkKg: number;
  lastGaugedDay: number;
  nextGaugeDay: number;
  held: boolean;
  planned: boolean;
}
export interface DemoVat {
  readonly id: string;
  readonly code: string;
  readonly capacityLitres: number;
  truth: Liquid;
  book: Liquid;
}

/** Where the ethanol of the demo really went, kg; the books know only what was gauged. */
export interface Ledger {
  receivedKg: number;
  evaporatedKg: number;
  soakedKg: number;
  leakedKg: number;
  sampledKg: number;
  spilledKg: number;
  deliveredKg: number;
}

/** The invented estate while its history is told: the truth, what has been written down so far, and what is still to do. */
export class World {
  readonly options: HistoryOptions;
  readonly firstDay: number;
  /** last day on which anything happens */
  readonly lastDay: number;
  readonly agenda: Agenda;
  readonly zones: DemoZone[] = [];
  readonly casks: DemoCask[] = [];
  readonly empties: DemoCask[] = [];
  readonly vats = new Map<string, DemoVat>();
  readonly accounts = new Map<string, string>();
  /** running numbers by series, as in a paper book */
  readonly series = new Map<string, number>();
  readonly ledger: Ledger = {
    receivedKg: 0,
    evaporatedKg: 0,
    soakedKg: 0,
    leakedKg: 0,
    sampledKg: 0,
    spilledKg: 0,
    deliveredKg: 0,
  };
  readonly serials = { cask: 0, position: 0, sample: 0, vat: 0 };
  readonly #identity: (unixMs: number) => string;
  readonly #pace: Random;
  #clockMs = 0;
  #written: Act[] = [];

  constructor(options: HistoryOptions) {
    this.options = options;
    this.lastDay = dayOfDate(options.today) - 12;
    // Twelve years of filling, beginning with the orchard's harvest.
    const start = this.lastDay - Math.round(12 * 365.25);
    this.firstDay = dayOf(yearOf(start) - (start < dayOf(yearOf(start), 8, 1) ? 1 : 0), 8, 1);
    this.agenda = new Agenda(this.firstDay, this.lastDay);
    this.#identity = identities(options.seed);
    this.#pace = this.random('pace');
  }

  /** How many times larger than the ordinary demo this estate is. */
  get scale(): number {
    return this.options.casks / 600;
  }

  random(name: string): Random {
    return randomStream(`${this.options.seed}/${name}`);
  }

  /** The next acts happen on this day, not before this hour. */
  workFrom(day: number, hour = 8): void {
    this.#clockMs = Math.max(this.#clockMs, msOf(day, hour));
  }

  /** A fresh id, as a device would make it now. */
  id(): string {
    return this.#identity(this.#clockMs);
  }

  /** Writes an act down; time passes while it is done. */
  act<K extends ActKind>(kind: K, body: BodyOf<K>): string {
    this.#clockMs += Math.round(this.#pace.between(90_000, 240_000) / Math.max(1, this.scale));
    const id = this.id();
    this.#written.push({ id, kind, happenedAt: instantOf(this.#clockMs), body } as Act);
    return id;
  }

  /** What was written since the last call. */
  takeActs(): Act[] {
    const acts = this.#written;
    this.#written = [];
    return acts;
  }

  zone(code: string): DemoZone {
    const zone = this.zones.find((z) => z.code === code);
    if (zone === undefined) throw new RangeError(`Harrow Point has no zone ${code}`);
    return zone;
  }

  account(code: string): string {
    const id = this.accounts.get(code);
    if (id === undefined) throw new RangeError(`Harrow Point has no account ${code}`);
    return id;
  }

  vat(code: string): DemoVat {
    const vat = this.vats.get(code);
    if (vat === undefined) throw new RangeError(`Harrow Point has no vat ${code}`);
    return vat;
  }

  /** Casks that hold spirit, in the order of their numbers. */
  *fillings(): Generator<DemoFilling> {
    for (const cask of this.casks) if (cask.filling !== null) yield cask.filling;
  }

  /** Lets a filling mature up to a day, where it lies. */
  matureTo(filling: DemoFilling, day: number): void {
    const { air } = filling.cask.slot.zone;
    if (air === null) throw new RangeError(`a filled cask lies in the yard on ${dateOf(day)}`);
    const thirstBefore = filling.contents.thirstKg;
    const losses = mature(filling.contents, filling.cask.made.wood, air, day);
    filling.drunkKg += thirstBefore - filling.contents.thirstKg;
    this.ledger.evaporatedKg += losses.evaporatedEthanolKg;
    this.ledger.soakedKg += losses.soakedEthanolKg;
    this.ledger.leakedKg += losses.leakedEthanolKg;
  }
}

/** The next free place of a zone: one that was freed, else the next in walking order. */
export function freeSlot(zone: DemoZone): Slot {
  const freed = zone.freed.pop();
  if (freed !== undefined) return freed;
  for (; zone.nextSlot < zone.slots.length; zone.nextSlot++) {
    const slot = zone.slots[zone.nextSlot];
    if (slot === undefined || slot.occupied >= slot.capacity) continue;
    if (slot.capacity === 1) zone.nextSlot++;
    return slot;
  }
  throw new RangeError(`zone ${zone.code} is full`);
}

export const freePlaces = (zone: DemoZone): number =>
  zone.freed.length + zone.slots.length - zone.nextSlot;

/** Puts a cask into a slot in the demo's own picture of the store. */
export function place(cask: DemoCask, slot: Slot): void {
  leave(cask);
  cask.slot = slot;
  slot.occupied++;
  slot.zone.casks.add(cask);
}

/** Takes a cask out of its slot. */
export function leave(cask: DemoCask): void {
  const { slot } = cask;
  if (!slot.zone.casks.delete(cask)) return;
  slot.occupied--;
  if (slot.capacity === 1) slot.zone.freed.push(slot);
  else slot.zone.nextSlot = Math.min(slot.zone.nextSlot, slot.index);
}
