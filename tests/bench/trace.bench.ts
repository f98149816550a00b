/**
 * How fast lineage is followed: an estate of 100,000 fillings from 60 plots in a SQLite file, a blend of 200 casks whose spirit
 * has been through six vattings, and the server's own classes over it.
 *
 *     npm run bench -- trace
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Content, RecordKind, RecordOf } from '@rundlet/contracts';
import {
  add,
  canonicalJson,
  EMPTY,
  figuresOf,
  followLineage,
  lotShares,
  part,
  traceLineage,
} from '@rundlet/domain';
import { makeCaskCode, makePositionCode } from '@rundlet/identifiers';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { Records } from '../../apps/server/src/database/records.ts';
import { listRowsOf, rowOf } from '../../apps/server/src/database/state-table.ts';
import { stateTableOf } from '../../apps/server/src/database/state-tables.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { Links } from '../../apps/server/src/lineage/links.ts';
import { Recall } from '../../apps/server/src/lineage/recall.ts';
import { PLAIN_BARREL } from '../support/plain-barrel.ts';

const FILLINGS = 100_000;
const BLEND = 200;
const VATTINGS = 6;
const PLOTS = 60;
const YEARS = 12;
const AT = '2020-05-04T10:00:00.000Z';

const say = (line: string): void => void process.stdout.write(`${line}\n`);
let ids = 0;
const id = (): string => `019a0000-0000-7000-8000-${(++ids).toString(16).padStart(12, '0')}`;
// A fixed sequence, so that every run measures the same estate (Park and Miller's minimal standard, 1988).
let seed = 20_200_504;
const random = (): number => (seed = (seed * 16_807) % 2_147_483_647) / 2_147_483_647;

const folder = mkdtempSync(join(tmpdir(), 'rundlet-bench-'));
const connections = await connect(`sqlite:${join(folder, 'lineage.sqlite')}`);
try {
  const { blendId, plotId, lotId } = await layDown();
  const reader = new Reader(connections.reader);
  const records = new Records(reader);
  const links = new Links(reader, records);
  const recall = new Recall(reader, records);
  await measure(
    `trace of a blend of ${String(BLEND)} casks, ${String(VATTINGS)} vattings deep`,
    200,
    async () => {
      const graph = await traceLineage('blend', blendId, records);
      const plots = graph?.nodes.filter((n) => n.kind === 'plot') ?? [];
      const sum = plots.reduce((s, n) => s + n.share, 0);
      if (Math.abs(sum - 1) > 1e-9) throw new Error(`the plots' shares sum to ${String(sum)}`);
      return `${String(graph?.nodes.length)} nodes, ${String(graph?.arrows.length)} arrows, ${(JSON.stringify(graph).length / 1e6).toFixed(2)} MB`;
    },
  );
  for (const [kind, from] of [
    ['plot', plotId],
    ['spirit-lot', lotId],
  ] as const) {
    await measure(`recall from a ${kind} among ${String(FILLINGS)} fillings`, 1000, async () => {
      const { rows, litresPureAlcohol } = await recall.from(kind, from);
      return `${String(rows.length)} vessels, ${litresPureAlcohol.toFixed(0)} LPA of it, ${(JSON.stringify(rows).length / 1e6).toFixed(2)} MB`;
    });
    await measure(`the same ${kind} followed forth as a graph`, 1000, async () => {
      const graph = await followLineage(kind, from, links);
      return `${String(graph?.nodes.length)} nodes`;
    });
  }
} finally {
  await disconnect(connections);
  rmSync(folder, { recursive: true });
}

async function measure(what: string, mostMs: number, work: () => Promise<string>): Promise<void> {
  let told = await work();
  const times: number[] = [];
  const cpu = process.cpuUsage();
  for (let i = 0; i < 5; i++) {
    const before = performance.now();
    told = await work();
    times.push(performance.now() - before);
  }
  const { user, system } = process.cpuUsage(cpu);
  times.sort((a, b) => a - b);
  say(
    `${what}: ${told}; ${(times[2] ?? 0).toFixed(0)} ms (median of 5; ${((user + system) / 5000).toFixed(0)} ms of processor) against a target of ${String(mostMs)} ms`,
  );
}

async function layDown() {
  const all: { [K in RecordKind]?: RecordOf<K>[] } = {};
  const keep = <K extends RecordKind>(kind: K, record: Omit<RecordOf<K>, 'lastEntryId'>): void => {
    const list = (all[kind] ??= [] as never) as RecordOf<K>[];
    list.push({ ...record, lastEntryId: id() } as unknown as RecordOf<K>);
  };
  const lots: string[] = [];
  const plots = Array.from({ length: PLOTS }, (_, p) => {
    const plotId = id();
    keep('plot', {
      id: plotId,
      code: `P${String(p)}`,
      name: `Plot ${String(p)}`,
      areaHa: 2,
      soil: null,
      crop: 'pears',
      variety: 'Thorn',
      plantedYear: 1990,
      corrected: {},
    });
    return plotId;
  });
  for (let year = 0; year < YEARS; year++) {
    const on = `${String(2012 + year)}-10-01`;
    const harvests = plots.map((plotId, p) => {
      const harvestId = id();
      keep('harvest-lot', {
        id: harvestId,
        code: `H${String(year)}-${String(p)}`,
        plotId,
        harvestedOn: on,
        massKg: 9000,
        sugarPercentMass: 10,
        corrected: {},
      });
      return { harvestId, plotId };
    });
    for (let f = 0; f < PLOTS; f += 2) {
      const [a, b] = [harvests[f], harvests[f + 1]];
      if (!a || !b) continue;
      const [fermentId, stillRunId, lotId] = [id(), id(), id()];
      const code = `${String(year)}-${String(f)}`;
      keep('ferment', {
        id: fermentId,
        code: `F${code}`,
        vessel: 'Tank',
        yeast: 'wild',
        startedOn: on,
        endedOn: on,
        inputs: [a, b].map((h) => ({ harvestLotId: h.harvestId, massKg: 9000 })),
        bulkLitresAt20C: 15_000,
        strengthPercentVol: 6,
        corrected: {},
      });
      keep('still-run', {
        id: stillRunId,
        code: `R${code}`,
        still: 'Pot',
        ranOn: on,
        inputs: [{ fermentId, bulkLitresAt20C: 15_000 }],
        headsLitresAt20C: 10,
        heartsLitresAt20C: 1200,
        heartsStrengthPercentVol: 70,
        tailsLitresAt20C: 50,
        corrected: {},
      });
      keep('spirit-lot', {
        id: lotId,
        code: `L${code}`,
        name: `Lot ${code}`,
        inputs: [{ stillRunId, share: 1 }],
        harvestShares: { [a.harvestId]: 0.5, [b.harvestId]: 0.5 },
        plotShares: { [a.plotId]: 0.5, [b.plotId]: 0.5 },
        receivedMg: 0,
        corrected: {},
      });
      lots.push(lotId);
    }
  }
  const storeId = id();
  const zoneId = id();
  const fresh = (lot: string): Content => ({
    waterMg: 55_000_000,
    ethanolMgByLot: { [lot]: 110_000_000 },
  });
  const anyLot = (): string => lots[Math.floor(random() * lots.length)] ?? '';
  /** A cask's liquid after vattings: each time eight casks are put together and one is filled of them. */
  const vatted = (depth: number): Content => {
    let content = fresh(anyLot());
    for (let round = 0; round < depth; round++) {
      let vat = content;
      for (let i = 0; i < 7; i++) vat = add(vat, fresh(anyLot()));
      content = part(vat, 1 / 8).taken;
    }
    return content;
  };
  const blended: { fillingId: string; caskId: string; caskCode: string; content: Content }[] = [];
  for (let i = 0; i < FILLINGS; i++) {
    const content = i < BLEND ? vatted(VATTINGS) : i % 10 === 0 ? vatted(2) : fresh(anyLot());
    const [caskId, fillingId, positionId] = [id(), id(), id()];
    const caskCode = makeCaskCode(i);
    const figures = figuresOf(content);
    if (i < BLEND) blended.push({ fillingId, caskId, caskCode, content });
    keep('position', {
      id: positionId,
      storeId,
      zoneId,
      code: makePositionCode(i),
      row: 'A',
      bay: '1',
      level: '1',
      slot: '1',
      capacity: 1,
      walkOrder: i,
      occupied: 1,
    });
    keep('cask', {
      id: caskId,
      code: caskCode,
      giai: null,
      aliases: [],
      earlierFillings: 0,
      fillingsHere: 1,
      tareKg: 50,
      capacityLitres: 205,
      status: 'filled',
      condition: 'sound',
      conditionSince: null,
      storeId,
      zoneId,
      positionId,
      positionSince: AT,
      fillingId,
      ...PLAIN_BARREL,
    });
    keep('filling', {
      id: fillingId,
      code: `${caskCode}-1`,
      caskId,
      caskCode,
      fillNumber: 1,
      accountId: id(),
      storeId,
      zoneId,
      caskKind: 'barrel',
      woodSpecies: 'Quercus alba',
      previousContents: 'none',
      nominalLitres: 200,
      filledAt: AT,
      agedFrom: AT,
      agedDaysBefore: 0,
      parentFillingId: null,
      fillMethod: 'declared',
      fillFigures: figures,
      fillUncertainties: { litres: 1, percentVol: 0.1 } as never,
      content,
      lotShares: lotShares(content),
      figures,
      lastGaugedAt: AT,
      gaugeCount: 1,
      status: 'maturing',
      emptiedAt: null,
      holdReason: null,
      reservedByPlanId: null,
      suspicion: 'none',
      dutyStatus: 'suspended',
    });
  }
  let whole = EMPTY;
  for (const { content } of blended) whole = add(whole, content);
  const blendId = id();
  keep('blend', {
    id: blendId,
    code: 'B1',
    name: 'Two hundred',
    planId: null,
    vatId: id(),
    madeAt: AT,
    figures: figuresOf(whole),
    lotShares: lotShares(whole),
    plotShares: {},
    fillings: blended.map(({ fillingId, caskId, caskCode }) => ({
      fillingId,
      caskId,
      caskCode,
      ethanolShare: 1 / BLEND,
    })),
  });
  const work = new UnitOfWork(connections);
  for (const kind of Object.keys(all) as RecordKind[]) {
    const table = stateTableOf(kind);
    const list = all[kind] as RecordOf<RecordKind>[];
    for (let from = 0; from < list.length; from += 5000)
      await work.write(async (tx) => {
        const some = list.slice(from, from + 5000);
        await tx.insertMany(
          table.name,
          table.columnNames,
          some.map((r) => rowOf(table, r, canonicalJson(r))),
        );
        for (const [name, of] of Object.entries(table.lists))
          await tx.insertMany(
            `${table.name}_${name}`,
            ['ownerId', 'value', ...(of.amount ? ['amount'] : [])],
            some.flatMap((r) => listRowsOf(of, r)),
          );
      });
  }
  const deep = Object.keys(blended[0]?.content.ethanolMgByLot ?? {}).length;
  say(
    `${String(FILLINGS)} fillings of ${String(lots.length)} spirit lots; a cask of the blend holds ${String(deep)} lots`,
  );
  return { blendId, plotId: plots[0] ?? '', lotId: lots[0] ?? '' };
}
