import type { Act, ActKind, BodyOf } from '@rundlet/contracts';
import { capacityLitres } from '@rundlet/gauging';
import { makeCaskCode, makePositionCode, makeSampleCode, makeVatCode } from '@rundlet/identifiers';
import { dayOfDate, instantOf, msOf } from './calendar.ts';
import { CASK_PLANS, cooperLot, makeCask } from './cooperage.ts';
import { ESTATE_NAME, STORES, TIME_ZONE } from './estate.ts';
import { identities } from './identity.ts';
import { randomStream, type Random } from './random.ts';

export interface LargeOptions {
  /** same seed, same estate */
  readonly seed: string;
  /** ISO date on which the story ends */
  readonly today: string;
  readonly casks: number;
  /** each cask is registered and filled; what is more are gauges, moves, samples and changes of owner */
  readonly entriesPerCask: number;
}

const WEEKS = 12 * 52;
const CASKS_PER_ZONE = 2500;
const CASKS_PER_OWNER = 1500;
const PLACES_PER_ROW = 48;
const POSITIONS_PER_ACT = 2000;
const MS_BETWEEN_ACTS = 15_000;
/** Loss of volume and of strength in a year (common practice, no published source). */
const YEARLY_LOSS = 0.02;
const YEARLY_STRENGTH_LOSS = 0.4;

interface Cask {
  readonly id: string;
  readonly zone: Zone;
  readonly weekFilled: number;
  readonly fillLitres: number;
  readonly fillStrength: number;
  /** by which its own loss differs from the ordinary */
  readonly tightness: number;
  positionId: string;
  accountId: string;
}
interface Zone {
  readonly id: string;
  readonly storeId: string;
  readonly positionIds: string[];
  /** where nothing stands */
  free: string[];
}

/**
 * The holdings of Harrow Point grown to any size, week by week for twelve years: stores of four zones, owners, weekly fillings, and
 * what happens to casks afterwards. It is told coarsely, for trying the program at size; how spirit really matures is told by
 * {@link ./history.ts}. Same options, same acts with the same ids.
 */
export function* largeEstate(options: LargeOptions): Generator<Act[]> {
  const { casks, entriesPerCask, seed, today } = options;
  if (!(Number.isInteger(casks) && casks >= 100 && casks <= 5_000_000))
    throw new RangeError(`a large estate has 100 to 5000000 casks, not ${String(casks)}`);
  if (!(entriesPerCask >= 2 && entriesPerCask <= 50))
    throw new RangeError(`a cask has 2 to 50 entries, not ${String(entriesPerCask)}`);
  const random = randomStream(`${seed}/large`);
  const story = new Story(seed, dayOfDate(today) - WEEKS * 7);
  story.week(0);
  const accounts = foundAccounts(story, casks);
  const zones = foundStores(story, casks);
  yield story.take();
  const later = Array.from({ length: WEEKS + 1 }, (): Cask[] => []);
  const all: Cask[] = [];
  const serials = { lot: 0, sample: 0 };
  const estate = accounts[0] ?? '';
  const vatId = foundVat(story, zones, estate, Math.ceil(casks / WEEKS));
  for (let week = 1; week <= WEEKS; week++) {
    story.week(week);
    const upTo = Math.floor((casks * week) / WEEKS);
    if (upTo > all.length)
      fillCasks(story, random, {
        week,
        vatId,
        upTo,
        zones,
        all,
        later,
        serials,
        entriesPerCask,
        accountId: estate,
      });
    for (const cask of later[week] ?? [])
      somethingHappens(story, random, { cask, week, accounts, serials });
    later[week] = [];
    yield story.take();
  }
  countZone(story, all, zones[0]);
  yield story.take();
}

/** Acts as they are written down, with their ids and times. */
class Story {
  readonly #identity: (unixMs: number) => string;
  readonly #firstDay: number;
  #clockMs = 0;
  #written: Act[] = [];

  constructor(seed: string, firstDay: number) {
    this.#identity = identities(`${seed}/large`);
    this.#firstDay = firstDay;
  }
  week(n: number): void {
    this.#clockMs = Math.max(this.#clockMs, msOf(this.#firstDay + n * 7 - 7, 7));
  }
  id(): string {
    return this.#identity(this.#clockMs);
  }
  act<K extends ActKind>(kind: K, body: BodyOf<K>): void {
    this.#clockMs += MS_BETWEEN_ACTS;
    this.#written.push({ id: this.id(), kind, happenedAt: instantOf(this.#clockMs), body } as Act);
  }
  take(): Act[] {
    return this.#written.splice(0);
  }
}

function foundAccounts(story: Story, casks: number): string[] {
  return Array.from({ length: 1 + Math.ceil(casks / CASKS_PER_OWNER) }, (_, i) => {
    const id = story.id();
    story.act('account.register', {
      id,
      code: i === 0 ? 'HP' : `OWNER-${String(i)}`,
      name: i === 0 ? ESTATE_NAME : `Holder ${String(i)}`,
      kind: i === 0 ? 'own' : 'customer',
      remark: null,
    });
    return id;
  });
}

function foundStores(story: Story, casks: number): Zone[] {
  const zones: Zone[] = [];
  const count = Math.ceil(casks / CASKS_PER_ZONE);
  const plans = STORES.flatMap((store) => store.zones.map((zone) => ({ store, zone })));
  let storeId = '';
  let walkOrder = 0;
  for (let z = 0; z < count; z++) {
    const number = String(Math.floor(z / plans.length) + 1);
    const { store, zone } = plans[z % plans.length] as (typeof plans)[number];
    if (zone === store.zones[0]) {
      storeId = story.id();
      walkOrder = 0;
      story.act('store.register', {
        id: storeId,
        code: `${store.code}${number}`,
        name: `${store.name} ${number}`,
        timeZone: TIME_ZONE,
        remark: null,
      });
    }
    const id = story.id();
    story.act('zone.register', {
      id,
      storeId,
      code: `${zone.code}${number}`,
      name: zone.name,
      floor: zone.floor,
      stow: zone.stow,
    });
    const places = Math.ceil((Math.ceil(casks / count) * 21) / 20);
    const positions = Array.from({ length: places }, (_, i) => ({
      id: story.id(),
      code: makePositionCode(z * (CASKS_PER_ZONE + PLACES_PER_ROW * 4) + i),
      row: String(Math.floor(i / PLACES_PER_ROW) + 1).padStart(3, '0'),
      bay: String((Math.floor(i / 6) % (PLACES_PER_ROW / 6)) + 1),
      level: String((Math.floor(i / 2) % 3) + 1),
      slot: i % 2 === 0 ? 'L' : 'R',
      capacity: 1,
      walkOrder: (walkOrder += 10),
    }));
    for (let i = 0; i < places; i += POSITIONS_PER_ACT)
      story.act('position.register', {
        zoneId: id,
        positions: positions.slice(i, i + POSITIONS_PER_ACT),
      });
    const positionIds = positions.map((position) => position.id);
    zones.push({ id, storeId, positionIds, free: [...positionIds].reverse() });
  }
  return zones;
}

function foundVat(
  story: Story,
  zones: readonly Zone[],
  accountId: string,
  casksAWeek: number,
): string {
  const id = story.id();
  story.act('vat.register', {
    id,
    code: makeVatCode(1),
    name: 'Filling vat',
    storeId: zones[0]?.storeId ?? '',
    accountId,
    capacityLitres: Math.max(10_000, casksAWeek * 700),
  });
  return id;
}

function fillCasks(
  story: Story,
  random: Random,
  at: {
    week: number;
    vatId: string;
    upTo: number;
    zones: readonly Zone[];
    all: Cask[];
    later: Cask[][];
    serials: { lot: number };
    entriesPerCask: number;
    accountId: string;
  },
): void {
  const { week, vatId, upTo, zones, all, later, serials } = at;
  const lotId = story.id();
  const code = `NM-${String((serials.lot += 1)).padStart(4, '0')}`;
  story.act('spirit-lot.record', { id: lotId, code, name: `New make ${code}`, inputs: [] });
  const cooperage = cooperLot(random, 2000 + Math.floor(week / 52), serials.lot);
  const fillStrength = Math.round(random.between(60, 64) * 10) / 10;
  const bought = Array.from({ length: upTo - all.length }, () => {
    const made = makeCask(
      random,
      cooperage,
      random.weighted(CASK_PLANS, (plan) => plan.share),
    );
    const room = made.capacityLitres ?? capacityLitres(made.geometry);
    return { made, fillLitres: Math.floor(room * 0.97) };
  });
  const declared = (litres: number) => ({
    method: 'declared' as const,
    bulkLitresAt20C: litres,
    strengthPercentVol: fillStrength,
  });
  const litres = bought.reduce((sum, { fillLitres }) => sum + fillLitres, 0);
  story.act('spirit.receive', { vatId, lotId, readings: declared(litres) });
  for (const { made, fillLitres } of bought) {
    const zone = zones[all.length % zones.length] as Zone;
    const positionId = zone.free.pop() ?? '';
    const cask: Cask = {
      id: story.id(),
      zone,
      weekFilled: week,
      fillLitres,
      fillStrength,
      tightness: random.between(0.6, 1.4),
      positionId,
      accountId: at.accountId,
    };
    story.act('cask.register', {
      id: cask.id,
      code: makeCaskCode(all.length + 1),
      cooperage: made.cooperage,
      geometry: made.geometry,
      capacityLitres: made.capacityLitres,
      tareKg: made.tareKg,
      giai: null,
      aliases: [`${made.cooperMark}-${String(all.length + 1)}`],
      earlierFillings: made.earlierFillings,
      positionId,
    });
    story.act('cask.fill', {
      caskId: cask.id,
      fillingId: story.id(),
      vatId,
      positionId: null,
      readings: declared(fillLitres),
    });
    all.push(cask);
    if (week === WEEKS) continue;
    const more = at.entriesPerCask - 2;
    const events = Math.floor(more) + (random.chance(more % 1) ? 1 : 0);
    for (let i = 0; i < events; i++) later[random.whole(week + 1, WEEKS)]?.push(cask);
  }
}

function somethingHappens(
  story: Story,
  random: Random,
  at: {
    cask: Cask;
    week: number;
    accounts: readonly string[];
    serials: { sample: number };
  },
): void {
  const { cask, week, accounts, serials } = at;
  const what = random.next();
  if (what < 0.75) {
    const years = (week - cask.weekFilled) / 52;
    const kept = Math.exp(-YEARLY_LOSS * cask.tightness * years) * (1 + random.normal(0, 0.003));
    story.act('cask.gauge', {
      caskId: cask.id,
      readings: {
        method: 'declared',
        bulkLitresAt20C: Math.round(cask.fillLitres * kept * 10) / 10,
        strengthPercentVol:
          Math.round((cask.fillStrength - YEARLY_STRENGTH_LOSS * years) * 100) / 100,
      },
    });
  } else if (what < 0.87) {
    const positionId = cask.zone.free.pop();
    if (positionId === undefined) return;
    cask.zone.free.unshift(cask.positionId);
    cask.positionId = positionId;
    story.act('cask.move', { caskId: cask.id, positionId });
  } else if (what < 0.95)
    story.act('cask.sample', {
      caskId: cask.id,
      sampleId: story.id(),
      code: makeSampleCode((serials.sample += 1)),
      bulkLitresAt20C: 0.2,
      purpose: 'yearly',
    });
  else {
    cask.accountId = random.pick(accounts.filter((id) => id !== cask.accountId));
    story.act('cask.change-owner', { caskId: cask.id, accountId: cask.accountId });
  }
}

/** A count of the first zone is under way. */
function countZone(story: Story, all: readonly Cask[], zone: Zone | undefined): void {
  if (!zone) return;
  const stocktakeId = story.id();
  story.act('stocktake.open', {
    id: stocktakeId,
    code: 'ST-1',
    title: 'Yearly count',
    scope: { storeId: zone.storeId, zoneIds: [zone.id], rows: [] },
    blind: false,
  });
  for (const [i, cask] of all.entries())
    if (cask.zone === zone && i % 3 !== 0)
      story.act('stocktake.count', {
        stocktakeId,
        scanned: makeCaskCode(i + 1),
        caskId: cask.id,
        positionId: cask.positionId,
        damagedLabel: false,
      });
}
