import type {
  Blend,
  Ferment,
  Filling,
  HarvestLot,
  LineageGraph,
  LineageKind,
  RecordOf,
  StillRun,
} from '@rundlet/contracts';
import { lotShares } from '../liquid/content.ts';
import { GraphNotes, nodeKey, normalised, push } from './graph.ts';
import type { Shares } from './shares.ts';
import { ethanolKgOf } from './yields.ts';

/** Records by id, as tracing needs them. */
export interface LineageReader {
  get<K extends LineageKind>(kind: K, ids: readonly string[]): Promise<RecordOf<K>[]>;
}

/**
 * From a bottling run, blend, vat, filling or any step before back to its plots. Work goes step by step, each reading all it
 * needs at once; a node's share is of the ethanol in the thing asked about.
 * @returns null when there is no such thing
 */
export async function traceLineage(
  kind: LineageKind,
  id: string,
  reader: LineageReader,
): Promise<LineageGraph | null> {
  const [subject] = await reader.get(kind, [id]);
  if (!subject) return null;
  const notes = new GraphNotes();
  const start = nodeKey(kind, id);
  let lots = new Map<string, number>();
  let runs = new Map<string, number>();
  let ferments = new Map<string, number>();
  let harvests = new Map<string, number>();
  let plots = new Map<string, number>();
  switch (kind) {
    case 'bottling-run':
    case 'blend':
      lots = await throughCasks(
        kind,
        subject as RecordOf<'blend'> | RecordOf<'bottling-run'>,
        reader,
        notes,
      );
      break;
    case 'vat': {
      const vat = subject as RecordOf<'vat'>;
      notes.note('vat', vat, 1);
      lots = fromLots(lotShares(vat.content), start, notes);
      break;
    }
    case 'filling': {
      const filling = subject as RecordOf<'filling'>;
      notes.note('filling', filling, 1);
      lots = fromLots(filling.lotShares, start, notes);
      break;
    }
    case 'spirit-lot':
      lots = new Map([[id, 1]]);
      break;
    case 'still-run':
      runs = new Map([[id, 1]]);
      break;
    case 'ferment':
      ferments = new Map([[id, 1]]);
      break;
    case 'harvest-lot':
      harvests = new Map([[id, 1]]);
      break;
    case 'plot':
      plots = new Map([[id, 1]]);
  }
  runs = joined(runs, await fromRuns(lots, reader, notes));
  ferments = joined(ferments, await fromFerments(runs, reader, notes));
  harvests = joined(harvests, await fromHarvests(ferments, reader, notes));
  plots = joined(plots, await fromPlots(harvests, reader, notes));
  for (const plot of await reader.get('plot', [...plots.keys()]))
    notes.note('plot', plot, plots.get(plot.id) ?? 0);
  return notes.graph;
}

const joined = (given: Map<string, number>, found: Map<string, number>): Map<string, number> =>
  found.size > 0 ? found : given;

function fromLots(shares: Shares, to: string, notes: GraphNotes): Map<string, number> {
  for (const [lot, share] of Object.entries(shares))
    notes.point(nodeKey('spirit-lot', lot), to, share);
  return new Map(Object.entries(shares));
}

/** A bottling's blend, a blend's casks, and the lots in each. */
async function throughCasks(
  kind: 'blend' | 'bottling-run',
  subject: RecordOf<'blend'> | RecordOf<'bottling-run'>,
  reader: LineageReader,
  notes: GraphNotes,
): Promise<Map<string, number>> {
  let blend: Blend | undefined = subject as Blend;
  let parts: LotParts = { through: subject.lotShares, beside: {} };
  if (kind === 'bottling-run') {
    const run = subject as RecordOf<'bottling-run'>;
    notes.note('bottling-run', run, 1);
    [blend] = run.blendId === null ? [] : await reader.get('blend', [run.blendId]);
    if (blend) parts = partsThrough(run.lotShares, blend.lotShares);
    else parts = { through: {}, beside: run.lotShares };
    if (blend)
      notes.point(nodeKey('blend', blend.id), nodeKey('bottling-run', run.id), sum(parts.through));
    fromLots(parts.beside, nodeKey('bottling-run', run.id), notes);
  }
  if (blend) {
    const key = nodeKey('blend', blend.id);
    notes.note('blend', blend, sum(parts.through));
    const fillings = await reader.get(
      'filling',
      blend.fillings.map((f) => f.fillingId),
    );
    const brought = new Map(blend.fillings.map((f) => [f.fillingId, f.ethanolShare]));
    const cast = castOf(blend, new Map(fillings.map((filling) => [filling.id, filling])));
    const { through, beside } = partsThrough(parts.through, cast);
    for (const filling of fillings) {
      const own = nodeKey('filling', filling.id);
      let share = 0;
      for (const lot in filling.lotShares) {
        const all = cast[lot] ?? 0;
        if (all === 0) continue;
        const part =
          ((through[lot] ?? 0) * (brought.get(filling.id) ?? 0) * (filling.lotShares[lot] ?? 0)) /
          all;
        notes.point(nodeKey('spirit-lot', lot), own, part);
        share += part;
      }
      notes.note('filling', filling, share);
      notes.point(own, key, share);
    }
    fromLots(beside, key, notes);
  }
  return new Map(Object.entries(subject.lotShares));
}

/** What the casks of a blend, or of its bottling, brought to it by lot, as parts of all that they brought. */
export function castOf(
  blend: {
    readonly fillings: readonly { readonly fillingId: string; readonly ethanolShare: number }[];
  },
  fillings: ReadonlyMap<string, Pick<Filling, 'lotShares'>>,
): Record<string, number> {
  const cast: Record<string, number> = {};
  for (const { fillingId, ethanolShare } of blend.fillings) {
    const shares = fillings.get(fillingId)?.lotShares ?? {};
    for (const lot in shares) cast[lot] = (cast[lot] ?? 0) + ethanolShare * (shares[lot] ?? 0);
  }
  return cast;
}

interface LotParts {
  readonly through: Shares;
  readonly beside: Shares;
}
/**
 * How much of each lot came by way of a vessel before, and how much beside it: what a vat held already, say. A lot that the
 * vessel held less of than was found cannot all have come from it.
 */
function partsThrough(whole: Shares, before: Shares): LotParts {
  const through: Record<string, number> = {};
  const beside: Record<string, number> = {};
  const total = sum(whole);
  for (const lot in whole) {
    const part = whole[lot] ?? 0;
    const came = Math.min(part, (before[lot] ?? 0) * total);
    if (came > 0) through[lot] = came;
    // Below a millionth it is the rounding of whole milligrams.
    if (part - came > 1e-6 * total) beside[lot] = part - came;
    else if (came > 0) through[lot] = part;
    else beside[lot] = part;
  }
  return { through, beside };
}

const sum = (shares: Shares): number => Object.values(shares).reduce((s, v) => s + v, 0);

async function fromRuns(lots: Map<string, number>, reader: LineageReader, notes: GraphNotes) {
  const shares = new Map<string, number>();
  const records = await reader.get('spirit-lot', [...lots.keys()]);
  const runs = await byId(
    reader,
    'still-run',
    records.flatMap((lot) => lot.inputs.map((i) => i.stillRunId)),
  );
  for (const lot of records) {
    const share = lots.get(lot.id) ?? 0;
    const ranOn = lot.inputs.flatMap((i) => runs.get(i.stillRunId)?.ranOn ?? []).sort()[0];
    notes.note(
      'spirit-lot',
      lot,
      share,
      ranOn === undefined ? undefined : `spirit of ${ranOn.slice(0, 4)}`,
    );
    for (const input of lot.inputs) {
      push(shares, input.stillRunId, share * input.share);
      notes.point(
        nodeKey('still-run', input.stillRunId),
        nodeKey('spirit-lot', lot.id),
        share * input.share,
      );
    }
  }
  return shares;
}

async function fromFerments(runs: Map<string, number>, reader: LineageReader, notes: GraphNotes) {
  const shares = new Map<string, number>();
  const records = await reader.get('still-run', [...runs.keys()]);
  const ferments = await byId(
    reader,
    'ferment',
    records.flatMap((run) => run.inputs.map((i) => i.fermentId)),
  );
  for (const run of records) {
    const share = runs.get(run.id) ?? 0;
    notes.note('still-run', run, share);
    for (const { id, part } of partsOfRun(run, ferments)) {
      push(shares, id, share * part);
      notes.point(nodeKey('ferment', id), nodeKey('still-run', run.id), share * part);
    }
  }
  return shares;
}

async function fromHarvests(
  ferments: Map<string, number>,
  reader: LineageReader,
  notes: GraphNotes,
) {
  const shares = new Map<string, number>();
  const records = await reader.get('ferment', [...ferments.keys()]);
  const harvests = await byId(
    reader,
    'harvest-lot',
    records.flatMap((ferment) => ferment.inputs.map((i) => i.harvestLotId)),
  );
  for (const ferment of records) {
    const share = ferments.get(ferment.id) ?? 0;
    notes.note('ferment', ferment, share);
    for (const { id, part } of partsOfFerment(ferment, harvests)) {
      push(shares, id, share * part);
      notes.point(nodeKey('harvest-lot', id), nodeKey('ferment', ferment.id), share * part);
    }
  }
  return shares;
}

async function fromPlots(harvests: Map<string, number>, reader: LineageReader, notes: GraphNotes) {
  const shares = new Map<string, number>();
  for (const harvest of await reader.get('harvest-lot', [...harvests.keys()])) {
    const share = harvests.get(harvest.id) ?? 0;
    notes.note('harvest-lot', harvest, share);
    push(shares, harvest.plotId, share);
    notes.point(nodeKey('plot', harvest.plotId), nodeKey('harvest-lot', harvest.id), share);
  }
  return shares;
}

export async function byId<K extends LineageKind>(
  reader: LineageReader,
  kind: K,
  ids: readonly string[],
): Promise<Map<string, RecordOf<K>>> {
  const records = await reader.get(kind, [...new Set(ids)]);
  return new Map(records.map((record) => [record.id, record]));
}

/** A run's ethanol by ferment: by what each brought to it. */
export function partsOfRun(
  run: Pick<StillRun, 'inputs'>,
  ferments: ReadonlyMap<string, Ferment>,
): { id: string; part: number }[] {
  return normalised(
    run.inputs.map((i) => ({
      id: i.fermentId,
      weight: ethanolKgOf(i.bulkLitresAt20C, ferments.get(i.fermentId)?.strengthPercentVol ?? 0),
    })),
  );
}

/** A ferment's ethanol by harvest: by the sugar each brought; where none was measured, mass is the best that is known. */
export function partsOfFerment(
  ferment: Pick<Ferment, 'inputs'>,
  harvests: ReadonlyMap<string, HarvestLot>,
): { id: string; part: number }[] {
  const sugar = ferment.inputs.some(
    (i) => (harvests.get(i.harvestLotId)?.sugarPercentMass ?? 0) > 0,
  );
  return normalised(
    ferment.inputs.map((i) => ({
      id: i.harvestLotId,
      weight: i.massKg * (sugar ? (harvests.get(i.harvestLotId)?.sugarPercentMass ?? 0) : 1),
    })),
  );
}
