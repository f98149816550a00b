import type { Filling, LineageGraph, LineageKind, RecordOf } from '@rundlet/contracts';
import { lotShares } from '../liquid/content.ts';
import { GraphNotes, nodeKey, push } from './graph.ts';
import type { Shares } from './shares.ts';
import { byId, castOf, partsOfFerment, partsOfRun, type LineageReader } from './trace.ts';

/** Which later records name an earlier one. */
interface Links {
  'harvest-lot': 'plot';
  ferment: 'harvest-lot';
  'still-run': 'ferment';
  'spirit-lot': 'still-run';
  vat: 'spirit-lot';
  blend: 'spirit-lot' | 'filling';
  'bottling-run': 'spirit-lot' | 'blend';
}
/** Fillings of one lot, when there are too many to name each. */
export interface FillingsOfLot {
  readonly lotId: string;
  readonly fillings: number;
  /** The lot's part of the ethanol in all of them. */
  readonly share: number;
}
export interface FollowReader extends LineageReader {
  /** Records of a kind that name any of these. */
  naming<K extends keyof Links>(
    kind: K,
    by: Links[K],
    ids: readonly string[],
  ): Promise<RecordOf<K>[]>;
  /** Fillings that hold some of these lots now: each, or only how many when there are more than `most`. */
  fillingsWith(
    lotIds: readonly string[],
    most: number,
  ): Promise<readonly Filling[] | readonly FillingsOfLot[]>;
}

/** Beyond this many casks their names tell nobody anything; the recall lists them. */
const MOST_FILLINGS = 600;

/**
 * From a plot, or any step after it, forward to every vessel, blend and bottling that has some of it. A node's share is the
 * part of its own ethanol that is of the thing asked about.
 * @returns null when there is no such thing
 */
export async function followLineage(
  kind: LineageKind,
  id: string,
  reader: FollowReader,
): Promise<LineageGraph | null> {
  const [subject] = await reader.get(kind, [id]);
  if (!subject) return null;
  const notes = new GraphNotes();
  notes.note(kind, subject, 1);
  const of = (own: LineageKind) => new Map(kind === own ? [[id, 1]] : []);

  const plots = of('plot');
  const harvests = of('harvest-lot');
  for (const harvest of await naming(reader, 'harvest-lot', 'plot', plots)) {
    harvests.set(harvest.id, 1);
    notes.note('harvest-lot', harvest, 1);
    notes.point(nodeKey('plot', harvest.plotId), nodeKey('harvest-lot', harvest.id), 1);
  }
  const ferments = of('ferment');
  const fermentRecords = await naming(reader, 'ferment', 'harvest-lot', harvests);
  const harvestRecords = await byId(
    reader,
    'harvest-lot',
    fermentRecords.flatMap((f) => f.inputs.map((i) => i.harvestLotId)),
  );
  for (const ferment of fermentRecords)
    arrive('ferment', ferment, partsOfFerment(ferment, harvestRecords), 'harvest-lot', harvests, {
      to: ferments,
      notes,
    });
  const runs = of('still-run');
  const runRecords = await naming(reader, 'still-run', 'ferment', ferments);
  const fermentsOfRuns = await byId(
    reader,
    'ferment',
    runRecords.flatMap((r) => r.inputs.map((i) => i.fermentId)),
  );
  for (const run of runRecords)
    arrive('still-run', run, partsOfRun(run, fermentsOfRuns), 'ferment', ferments, {
      to: runs,
      notes,
    });
  const lots = of('spirit-lot');
  for (const lot of await naming(reader, 'spirit-lot', 'still-run', runs))
    arrive(
      'spirit-lot',
      lot,
      lot.inputs.map((i) => ({ id: i.stillRunId, part: i.share })),
      'still-run',
      runs,
      { to: lots, notes },
    );

  const fillings = of('filling');
  const inLots = (record: { id: string }, into: LineageKind, shares: Shares) =>
    arrive(
      into,
      record as never,
      Object.entries(shares).map(([lot, part]) => ({ id: lot, part })),
      'spirit-lot',
      lots,
      { to: new Map(), notes },
    );
  for (const vat of await naming(reader, 'vat', 'spirit-lot', lots))
    inLots(vat, 'vat', lotShares(vat.content));

  const blends = new Map<string, RecordOf<'blend'>>();
  for (const blend of [
    ...(await naming(reader, 'blend', 'spirit-lot', lots)),
    ...(await naming(reader, 'blend', 'filling', fillings)),
    ...(kind === 'blend' ? [subject as RecordOf<'blend'>] : []),
  ])
    blends.set(blend.id, blend);

  // Casks of blends are told apart from the rest even when they have been emptied since.
  const holding = lots.size > 0 ? await reader.fillingsWith([...lots.keys()], MOST_FILLINGS) : [];
  const drawn = await reader.get('filling', [
    ...new Set(
      kind === 'blend'
        ? []
        : [...blends.values()].flatMap((b) => b.fillings.map((f) => f.fillingId)),
    ),
  ]);
  const known = new Map(drawn.map((filling) => [filling.id, filling]));
  for (const one of holding) {
    if ('lotId' in one) {
      const share = (lots.get(one.lotId) ?? 0) * one.share;
      const key = `filling:of:${one.lotId}`;
      notes.gather({
        key,
        kind: 'filling',
        id: one.lotId,
        code: '',
        name: '',
        detail: '',
        group: 'casks now',
        members: one.fillings,
        share,
      });
      notes.point(nodeKey('spirit-lot', one.lotId), key, share);
    } else known.set(one.id, one);
  }
  for (const filling of known.values()) {
    if (fillings.has(filling.id)) continue;
    const share = inLots(filling, 'filling', filling.lotShares);
    if (share > 0) fillings.set(filling.id, share);
  }

  const shareOfBlend = new Map(of('blend'));
  for (const blend of blends.values()) {
    if (shareOfBlend.has(blend.id)) continue;
    const key = nodeKey('blend', blend.id);
    let whole = 0;
    for (const lot in blend.lotShares) whole += (blend.lotShares[lot] ?? 0) * (lots.get(lot) ?? 0);
    const cast = castOf(blend, known);
    let through = 0;
    for (const { fillingId, ethanolShare } of blend.fillings) {
      const filling = known.get(fillingId);
      if (!filling || (kind === 'filling' && fillingId !== id)) continue;
      let part = 0;
      for (const lot in filling.lotShares)
        part +=
          (filling.lotShares[lot] ?? 0) *
          Math.min(1, (blend.lotShares[lot] ?? 0) / (cast[lot] ?? 1)) *
          (kind === 'filling' ? 1 : (lots.get(lot) ?? 0));
      if (part === 0) continue;
      notes.point(nodeKey('filling', fillingId), key, part * ethanolShare);
      through += part * ethanolShare;
    }
    // From a cask only what was drawn counts; from a lot also what the vat held beside.
    const share = kind === 'filling' ? through : Math.max(whole, through);
    shareOfBlend.set(blend.id, share);
    notes.note('blend', blend, share);
    if (share - through > 1e-6)
      for (const [lot, of_] of lots)
        if (blend.lotShares[lot])
          notes.point(
            nodeKey('spirit-lot', lot),
            key,
            ((share - through) * (blend.lotShares[lot] ?? 0) * of_) / whole,
          );
  }

  const bottlings = new Map(
    [
      ...(await naming(reader, 'bottling-run', 'spirit-lot', lots)),
      ...(await naming(reader, 'bottling-run', 'blend', shareOfBlend)),
    ].map((run) => [run.id, run]),
  );
  for (const run of bottlings.values()) {
    if (run.id === id) continue;
    const key = nodeKey('bottling-run', run.id);
    if (run.blendId !== null && shareOfBlend.has(run.blendId)) {
      const share = shareOfBlend.get(run.blendId) ?? 0;
      notes.note('bottling-run', run, share);
      notes.point(nodeKey('blend', run.blendId), key, share);
    } else inLots(run, 'bottling-run', run.lotShares);
  }
  return notes.graph;
}

/** Notes a record with what it took from the step before, where that has some of the subject. */
function arrive<K extends LineageKind>(
  kind: K,
  record: RecordOf<K> & { code: string },
  parts: readonly { id: string; part: number }[],
  from: LineageKind,
  shares: ReadonlyMap<string, number>,
  { to, notes }: { to: Map<string, number>; notes: GraphNotes },
): number {
  let whole = 0;
  for (const { id, part } of parts) {
    const share = part * (shares.get(id) ?? 0);
    if (share === 0) continue;
    notes.point(nodeKey(from, id), nodeKey(kind, record.id), share);
    whole += share;
  }
  if (whole > 0) {
    push(to, record.id, whole);
    notes.note(kind, record, whole);
  }
  return whole;
}

const naming = <K extends keyof Links>(
  reader: FollowReader,
  kind: K,
  by: Links[K],
  shares: ReadonlyMap<string, number>,
): Promise<RecordOf<K>[]> =>
  shares.size === 0 ? Promise.resolve([]) : reader.naming(kind, by, [...shares.keys()]);
