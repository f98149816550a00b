import type { LineageGraph, RecordOf } from '@rundlet/contracts';
import { lotShares } from '../liquid/content.ts';
import { ethanolKgOf } from './yields.ts';

/** Records by id, as tracing needs them. */
export interface LineageReader {
  get<
    K extends
      'plot' | 'harvest-lot' | 'ferment' | 'still-run' | 'spirit-lot' | 'vat' | 'filling' | 'blend',
  >(
    kind: K,
    ids: readonly string[],
  ): Promise<RecordOf<K>[]>;
}
type Kind = LineageGraph['nodes'][number]['kind'];

/**
 * From a filling, vat, blend or any step before back to its plots. Work goes step by step from the vessel to the plots,
 * each step reading all it needs at once; a node's share is of the ethanol in the thing asked about.
 * @returns null when there is no such thing
 */
export async function traceLineage(
  kind: Kind,
  id: string,
  reader: LineageReader,
): Promise<LineageGraph | null> {
  const nodes = new Map<string, LineageGraph['nodes'][number]>();
  const arrows = new Map<string, LineageGraph['arrows'][number]>();
  const note = (
    nodeKind: Kind,
    record: { id: string; code: string },
    name: string,
    detail: string,
    share: number,
  ) => {
    const key = `${nodeKind}:${record.id}`;
    const there = nodes.get(key);
    nodes.set(
      key,
      there
        ? { ...there, share: there.share + share }
        : { key, kind: nodeKind, id: record.id, code: record.code, name, detail, share },
    );
  };
  const point = (from: string, to: string, share: number) => {
    const key = `${from}>${to}`;
    const there = arrows.get(key);
    arrows.set(key, { from, to, share: (there?.share ?? 0) + share });
  };

  // Shares still to be followed, by id, at each step.
  let lots = new Map<string, number>();
  const runs = new Map<string, number>();
  const ferments = new Map<string, number>();
  const harvests = new Map<string, number>();
  const start = `${kind}:${id}`;

  if (kind === 'filling') {
    const [filling] = await reader.get('filling', [id]);
    if (!filling) return null;
    note(
      'filling',
      filling,
      filling.code,
      `${filling.caskKind}, ${filling.woodSpecies}, filled ${filling.filledAt.slice(0, 10)}`,
      1,
    );
    lots = new Map(Object.entries(filling.lotShares));
  } else if (kind === 'vat') {
    const [vat] = await reader.get('vat', [id]);
    if (!vat) return null;
    note(
      'vat',
      vat,
      vat.name,
      `${vat.figures.bulkLitresAt20C.toFixed(1)} L at ${vat.figures.strengthPercentVol.toFixed(2)} % vol`,
      1,
    );
    lots = new Map(Object.entries(lotShares(vat.content)));
  } else if (kind === 'blend') {
    const [blend] = await reader.get('blend', [id]);
    if (!blend) return null;
    note(
      'blend',
      blend,
      blend.name,
      `${blend.figures.bulkLitresAt20C.toFixed(1)} L at ${blend.figures.strengthPercentVol.toFixed(2)} % vol, ${String(blend.fillings.length)} casks`,
      1,
    );
    lots = new Map(Object.entries(blend.lotShares));
  } else if (kind === 'spirit-lot') lots.set(id, 1);
  else if (kind === 'still-run') runs.set(id, 1);
  else if (kind === 'ferment') ferments.set(id, 1);
  else if (kind === 'harvest-lot') harvests.set(id, 1);
  else {
    const [plot] = await reader.get('plot', [id]);
    if (!plot) return null;
    note('plot', plot, plot.name, `${plot.crop}, ${plot.variety}`, 1);
  }

  const push = (to: Map<string, number>, key: string, share: number) =>
    to.set(key, (to.get(key) ?? 0) + share);
  for (const lot of await reader.get('spirit-lot', [...lots.keys()])) {
    const share = lots.get(lot.id) ?? 0;
    note('spirit-lot', lot, lot.name, '', share);
    if (start !== `spirit-lot:${lot.id}`) point(`spirit-lot:${lot.id}`, start, share);
    for (const input of lot.inputs) {
      push(runs, input.stillRunId, share * input.share);
      point(`still-run:${input.stillRunId}`, `spirit-lot:${lot.id}`, share * input.share);
    }
  }
  const runRecords = await reader.get('still-run', [...runs.keys()]);
  const fermentRecords = new Map(
    (
      await reader.get('ferment', [
        ...new Set([
          ...runRecords.flatMap((r) => r.inputs.map((i) => i.fermentId)),
          ...ferments.keys(),
        ]),
      ])
    ).map((f) => [f.id, f]),
  );
  for (const run of runRecords) {
    const share = runs.get(run.id) ?? 0;
    note('still-run', run, run.still, `ran ${run.ranOn}`, share);
    const weights = run.inputs.map((i) => ({
      id: i.fermentId,
      weight: ethanolKgOf(
        i.bulkLitresAt20C,
        fermentRecords.get(i.fermentId)?.strengthPercentVol ?? 0,
      ),
    }));
    for (const { id: fermentId, part } of normalised(weights)) {
      push(ferments, fermentId, share * part);
      point(`ferment:${fermentId}`, `still-run:${run.id}`, share * part);
    }
  }
  const harvestRecords = new Map(
    (
      await reader.get('harvest-lot', [
        ...new Set([
          ...[...fermentRecords.values()].flatMap((f) => f.inputs.map((i) => i.harvestLotId)),
          ...harvests.keys(),
        ]),
      ])
    ).map((h) => [h.id, h]),
  );
  for (const ferment of fermentRecords.values()) {
    const share = ferments.get(ferment.id) ?? 0;
    note(
      'ferment',
      ferment,
      ferment.vessel,
      `${ferment.yeast}, ${ferment.startedOn} to ${ferment.endedOn}`,
      share,
    );
    const weights = ferment.inputs.map((i) => ({
      id: i.harvestLotId,
      weight: i.massKg * (harvestRecords.get(i.harvestLotId)?.sugarPercentMass ?? 1),
    }));
    for (const { id: harvestId, part } of normalised(weights)) {
      push(harvests, harvestId, share * part);
      point(`harvest-lot:${harvestId}`, `ferment:${ferment.id}`, share * part);
    }
  }
  const plots = new Map(
    (await reader.get('plot', [...new Set([...harvestRecords.values()].map((h) => h.plotId))])).map(
      (p) => [p.id, p],
    ),
  );
  for (const harvest of harvestRecords.values()) {
    const share = harvests.get(harvest.id) ?? 0;
    note(
      'harvest-lot',
      harvest,
      harvest.code,
      `harvested ${harvest.harvestedOn}, ${String(harvest.massKg)} kg`,
      share,
    );
    const plot = plots.get(harvest.plotId);
    if (!plot) continue;
    note('plot', plot, plot.name, `${plot.crop}, ${plot.variety}`, share);
    point(`plot:${plot.id}`, `harvest-lot:${harvest.id}`, share);
  }
  return nodes.size === 0 ? null : { nodes: [...nodes.values()], arrows: [...arrows.values()] };
}

function normalised(
  weights: readonly { id: string; weight: number }[],
): { id: string; part: number }[] {
  const total = weights.reduce((s, w) => s + w.weight, 0);
  return weights.map(({ id, weight }) => ({
    id,
    part: total > 0 ? weight / total : 1 / weights.length,
  }));
}
