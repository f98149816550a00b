import { makePositionCode, makeVatCode } from '@rundlet/identifiers';
import { ACCOUNTS, PLOTS, STORES, TIME_ZONE, YARD, type StorePlan } from '../estate.ts';
import { NOTHING } from '../liquids.ts';
import { outdoorTemperatureC, weatherStart, zoneAir } from '../weather.ts';
import type { DemoZone, World } from '../world.ts';
import { lotsPerSpirit } from './season.ts';

const BAYS = 8;
const LEVELS = 3;
const SLOTS = 2;
const ROOM_TO_SPARE = 1.22;

/** The estate before the first drop: stores, racks, vats, accounts and plots. Returns the plots' ids by code. */
export function foundEstate(world: World): Map<string, string> {
  world.workFrom(world.firstDay, 7);
  for (const account of ACCOUNTS) {
    const id = world.id();
    world.accounts.set(account.code, id);
    world.act('account.register', { id, ...account });
  }
  const airFrom = weatherStart(world.firstDay);
  const outdoorC = outdoorTemperatureC(world.options.seed, airFrom, world.lastDay - airFrom + 2);
  let firstStoreId: string | null = null;
  for (const store of STORES) {
    const storeId = world.id();
    firstStoreId ??= storeId;
    const { code, name, remark } = store;
    world.act('store.register', { id: storeId, code, name, timeZone: TIME_ZONE, remark });
    buildZones(world, store, storeId, (plan) =>
      zoneAir(world.options.seed, plan.code, plan.nature, airFrom, outdoorC),
    );
  }
  if (firstStoreId !== null) buildVats(world, firstStoreId);
  return recordPlots(world);
}

function buildZones(
  world: World,
  store: StorePlan,
  storeId: string,
  airOf: (plan: StorePlan['zones'][number]) => DemoZone['air'],
): void {
  let walkOrder = 0;
  for (const plan of store.zones) {
    const zone = addZone(world, storeId, plan.code, plan.name, plan.floor, plan, airOf(plan));
    const places = Math.ceil(world.options.casks * plan.share * ROOM_TO_SPARE);
    const perRow = BAYS * LEVELS * SLOTS;
    const positions = [];
    for (let i = 0; i < places; i++) {
      const row = Math.floor(i / perRow);
      const alongRow = Math.floor((i % perRow) / (LEVELS * SLOTS));
      // Up one row and down the next, as one walks.
      const bay = row % 2 === 0 ? alongRow + 1 : BAYS - alongRow;
      const level = Math.floor((i % (LEVELS * SLOTS)) / SLOTS) + 1;
      positions.push({
        row: rowName(row),
        bay: String(bay),
        level: String(level),
        slot: i % SLOTS === 0 ? 'L' : 'R',
        capacity: 1,
        walkOrder: (walkOrder += 10),
      });
    }
    addPositions(world, zone, positions);
  }
  if (store.code === 'SALT') {
    const zone = addZone(world, storeId, YARD.code, YARD.name, YARD.floor, null, null);
    const stands = Math.ceil(6 * Math.max(1, world.scale));
    addPositions(
      world,
      zone,
      Array.from({ length: stands }, (_, i) => ({
        row: 'Y',
        bay: String(i + 1),
        level: '1',
        slot: 'A',
        capacity: 60,
        walkOrder: (walkOrder += 10),
      })),
    );
  }
}

function addZone(
  world: World,
  storeId: string,
  code: string,
  name: string,
  floor: number,
  plan: DemoZone['plan'],
  air: DemoZone['air'],
): DemoZone {
  const zone: DemoZone = {
    id: world.id(),
    storeId,
    code,
    name,
    plan,
    air,
    slots: [],
    freed: [],
    nextSlot: 0,
    casks: new Set(),
  };
  world.zones.push(zone);
  world.act('zone.register', { id: zone.id, storeId, code, name, floor, stow: plan?.stow ?? null });
  return zone;
}

function addPositions(
  world: World,
  zone: DemoZone,
  positions: {
    row: string;
    bay: string;
    level: string;
    slot: string;
    capacity: number;
    walkOrder: number;
  }[],
): void {
  const named = positions.map((position) => ({
    id: world.id(),
    code: makePositionCode(++world.serials.position),
    ...position,
  }));
  named.forEach(({ id, capacity }, index) =>
    zone.slots.push({ id, zone, index, capacity, occupied: 0 }),
  );
  for (let i = 0; i < named.length; i += 500)
    world.act('position.register', { zoneId: zone.id, positions: named.slice(i, i + 500) });
}

/** A, B … Z, AA, AB … */
function rowName(row: number): string {
  const letter = String.fromCharCode(65 + (row % 26));
  return row < 26 ? letter : rowName(Math.floor(row / 26) - 1) + letter;
}

function buildVats(world: World, storeId: string): void {
  const larger = Math.max(1, Math.ceil(world.scale));
  const receivers = lotsPerSpirit(world.scale);
  const vats = [
    ...Array.from({ length: receivers }, (_, i) => ({
      key: `receiver-${String(i + 1)}`,
      name: `Spirit receiver ${String(i + 1)}`,
      litres: Math.ceil((9000 * larger) / receivers),
    })),
    { key: 'feints', name: 'Feints receiver', litres: 3000 },
    { key: 'marrying-vat', name: 'Marrying vat', litres: 12_000 * larger },
  ];
  for (const { key, name, litres } of vats) {
    const id = world.id();
    const code = makeVatCode(++world.serials.vat);
    world.vats.set(key, { id, code, capacityLitres: litres, truth: NOTHING, book: NOTHING });
    const accountId = world.account('HP');
    world.act('vat.register', { id, code, name, storeId, accountId, capacityLitres: litres });
  }
}

function recordPlots(world: World): Map<string, string> {
  const plots = new Map<string, string>();
  for (const plot of PLOTS) {
    const id = world.id();
    plots.set(plot.code, id);
    world.act('plot.record', {
      id,
      ...plot,
      areaHa: Math.round(plot.areaHa * Math.max(1, world.scale) * 10) / 10,
      crop: CROP_NAME[plot.crop],
    });
  }
  return plots;
}
const CROP_NAME = {
  pear: 'Perry pear',
  apple: 'Cider apple',
  barley: 'Barley',
  rye: 'Rye',
} as const;
