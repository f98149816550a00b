import { api, useApi } from '../../data/client.ts';
import { format } from '../../kit/kit.ts';
import type { StepKind } from './steps.ts';

export interface StepChoice {
  readonly value: string;
  readonly label: string;
}

/** As many as a list that drops down can hold; older ones are entered from lists. */
const NEWEST = { query: { limit: 300 } };

/** Records of one step to choose from, newest first, each with what tells it apart. */
export function useStepChoices(kind: StepKind | undefined): readonly StepChoice[] {
  const only = (wanted: StepKind) => ({ enabled: kind === wanted });
  const plots = useApi(api.lineage.plots, {}, only('plot'));
  const harvests = useApi(api.lineage.harvests, NEWEST, only('harvest-lot'));
  const ferments = useApi(api.lineage.ferments, NEWEST, only('ferment'));
  const runs = useApi(api.lineage.stillRuns, NEWEST, only('still-run'));
  switch (kind) {
    case 'plot':
      return (plots.data?.rows ?? []).map((p) => ({ value: p.id, label: `${p.code} ${p.name}` }));
    case 'harvest-lot':
      return (harvests.data?.rows ?? []).map((h) => ({
        value: h.id,
        label: `${h.code}, ${format.date(h.harvestedOn)}, ${format.number(h.massKg)} kg`,
      }));
    case 'ferment':
      return (ferments.data?.rows ?? []).map((f) => ({
        value: f.id,
        label: `${f.code}, ${f.vessel}, ${format.litres(f.bulkLitresAt20C)} at ${format.strength(f.strengthPercentVol)}`,
      }));
    case 'still-run':
      return (runs.data?.rows ?? []).map((r) => ({
        value: r.id,
        label: `${r.code}, ${r.still}, ${format.date(r.ranOn)}`,
      }));
    default:
      return [];
  }
}
