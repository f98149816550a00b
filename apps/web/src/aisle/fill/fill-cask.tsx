import type { Vat } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { useSearch } from 'wouter';
import { newId } from '../../acts/act.ts';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { useCask } from '../../data/cask.ts';
import { resolveScan, type Match } from '../../data/resolve.ts';
import { Button, format, Notice } from '../../kit/kit.ts';
import { CaskField } from '../fields/cask-field.tsx';
import { PositionField, type ChosenPosition } from '../fields/position-field.tsx';
import { LiveFigures } from '../gauging/live-figures.tsx';
import { useLiveFigures, withLive } from '../gauging/live.ts';
import {
  emptyDraft,
  readingPointers,
  readingsOf,
  type ReadingsDraft,
} from '../gauging/readings-draft.ts';
import { ReadingsFields } from '../gauging/readings-fields.tsx';
import type { FilledCask, FillRun } from './run.ts';

/** In a run only the measured quantity changes from cask to cask; strength and temperature stay until they are changed. */
let lastDraft: ReadingsDraft | undefined;

/** One cask of the run: which, how much, where. */
export function FillCask({
  vat,
  run,
  onFilled,
}: {
  vat: Vat;
  run: FillRun;
  onFilled: (cask: FilledCask) => void;
}) {
  const act = useAct('cask.fill');
  const [fillingId] = useState(newId);
  const [match, setMatch] = useState<Match | null>(null);
  const [to, setTo] = useState<ChosenPosition | null>(null);
  const [draft, setDraft] = useState<ReadingsDraft>(() => ({
    ...(lastDraft ?? emptyDraft({ method: 'weight' })),
    wetDipMm: null,
    dryDipMm: null,
    grossKg: null,
    tareKg: null,
    litres: null,
  }));
  useGivenCask(run, setMatch);
  const { brief: cask } = useCask(match?.id ?? null);
  const tareKg = cask?.tareKg ?? null;
  useEffect(() => {
    if (tareKg !== null) setDraft((now) => (now.tareKg === null ? { ...now, tareKg } : now));
  }, [tareKg]);

  const live = useLiveFigures(draft, cask ?? {});
  const { gauged } = live;
  const readings = readingsOf(draft);
  const lastPosition = run.filled.at(-1)?.positionId ?? null;

  const submit = async () => {
    if (!match || !readings || !gauged) return;
    lastDraft = draft;
    const result = await act.run(
      { caskId: match.id, fillingId, vatId: vat.id, readings, positionId: to?.id ?? null },
      `Fill ${match.code} from ${vat.name}`,
    );
    if (result?.status !== 'applied') return;
    onFilled({
      caskId: match.id,
      code: match.code,
      bulkLitresAt20C: gauged.bulkLitresAt20C,
      strengthPercentVol: gauged.strengthPercentVol,
      litresPureAlcohol: gauged.litresPureAlcohol,
      positionId: to?.id ?? null,
      place: to?.words ?? null,
    });
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <CaskField label="Cask" value={match} onChange={setMatch} error={act.errors.at('/caskId')} />
      {cask?.status === 'filled' && (
        <Notice tone="bad" live title="This cask already holds spirit">
          {cask.figures && <>{format.litres(cask.figures.bulkLitresAt20C)} by the book. </>}
          Empty it first, or scan another.
        </Notice>
      )}
      <ReadingsFields
        draft={draft}
        onChange={setDraft}
        methods={['dip', 'ullage', 'weight', 'meter']}
        errors={withLive(act.errors, live)}
      />
      <LiveFigures live={live} />
      {match && (
        <PositionField
          cask={cask}
          vatId={vat.id}
          value={to}
          onChange={setTo}
          error={act.errors.at('/positionId')}
          afterId={lastPosition}
          alsoTaken={run.filled.flatMap(({ positionId }) => positionId ?? [])}
        />
      )}
      <ActOutcome act={act} pointers={['/caskId', '/positionId', ...readingPointers()]} />
      <div className="form-foot">
        <Button
          type="submit"
          kind="main"
          icon="fill"
          busy={act.busy}
          disabled={!match || !gauged || cask?.status === 'filled'}
        >
          {act.busy ? 'Booking …' : 'Book this fill'}
        </Button>
      </div>
    </form>
  );
}

/** The cask named in the address, from the card’s Fill button; only for the first of the run. */
function useGivenCask(run: FillRun, take: (match: Match) => void): void {
  const code = new URLSearchParams(useSearch()).get('cask');
  const first = run.filled.length === 0;
  useEffect(() => {
    if (!code || !first) return;
    void resolveScan(code).then(
      ({ matches: [match] }) => {
        if (match?.kind === 'cask') take(match);
      },
      () => undefined,
    );
  }, [code, first, take]);
}
