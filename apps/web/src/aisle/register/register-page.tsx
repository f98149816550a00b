import { api, type BodyOf } from '@rundlet/contracts';
import { checkCaskCode, makeGiai } from '@rundlet/identifiers';
import { useState } from 'react';
import { useSearch } from 'wouter';
import { doAct, makeAct, newId } from '../../acts/act.ts';
import { refreshAisle } from '../../data/aisle.ts';
import { client, useApi } from '../../data/client.ts';
import { rememberCode } from '../../data/known-codes.ts';
import { useSession } from '../../data/session.tsx';
import {
  Button,
  Failed,
  fieldErrors,
  format,
  LinkButton,
  Notice,
  NumberField,
  Page,
  TextField,
} from '../../kit/kit.ts';
import type { Problem } from '@rundlet/contracts';
import { CooperageFields, emptyCooperage, type CooperageDraft } from './cooperage-fields.tsx';
import { MeasureFields } from './measure-fields.tsx';
import { emptyMeasures, workOut } from './measures.ts';

/** New casks of one kind: as many as came, each with its own code; their labels can be printed at once. */
export default function RegisterPage() {
  const given = new URLSearchParams(useSearch()).get('code');
  const givenCode =
    given && checkCaskCode(given).status === 'ok' ? checkCaskCode(given).code : null;
  const { companyPrefix } = useSession();
  const facets = useApi(api.casks.facets, {}, { staleTime: Infinity });
  const [draft, setDraft] = useState<CooperageDraft>(emptyCooperage);
  const [measures, setMeasures] = useState(emptyMeasures);
  const [howMany, setHowMany] = useState<number | null>(1);
  const [alias, setAlias] = useState(givenCode === null ? (given ?? '') : '');
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [error, setError] = useState<unknown>(null);
  const [made, setMade] = useState<readonly { id: string; code: string }[]>([]);
  const errors = fieldErrors(problem);
  const count = howMany ?? 0;
  const worked = workOut(measures, draft.nominalLitres);
  const geometry = 'geometry' in worked ? worked.geometry : null;
  const fits = Number.isInteger(count) && count >= 1 && count <= 200;

  const register = async () => {
    if (!fits || geometry === null) return;
    setBusy(true);
    setProblem(null);
    setError(null);
    try {
      const codes =
        givenCode !== null && count === 1
          ? [givenCode]
          : (await client.call(api.casks.nextCodes, { query: { count } })).caskCodes;
      const done: { id: string; code: string }[] = [];
      for (const code of codes) {
        const body = bodyFor(
          code,
          draft,
          { geometry, capacityLitres: measures.capacityLitres, tareKg: measures.tareKg },
          count === 1 ? alias : '',
          companyPrefix ? makeGiai(companyPrefix, code) : null,
        );
        const result = await doAct(await makeAct('cask.register', body), `Register cask ${code}`);
        if (result.status === 'refused') {
          setProblem(result.problem);
          break;
        }
        done.push({ id: body.id, code });
        rememberCode(body.id, code);
      }
      setMade(done);
      if (done.length > 0) void refreshAisle({ evenIfFresh: true });
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <Page
      title="Register casks"
      lead="Each gets the next free code. Print and fix the labels before the casks go anywhere."
      narrow
    >
      {made.length > 0 && (
        <Notice
          tone="good"
          live
          title={`${format.count(made.length, 'cask')} registered`}
          actions={
            <>
              <LinkButton
                kind="main"
                icon="label"
                to={`/labels?kind=cask&ids=${made.map(({ id }) => id).join(',')}`}
              >
                Print their labels
              </LinkButton>
              <LinkButton icon="fill" to={`/fill?cask=${made[0]?.code ?? ''}`}>
                Fill
              </LinkButton>
            </>
          }
        >
          <span className="code">{made.map(({ code }) => code).join(', ')}</span>
        </Notice>
      )}
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void register();
        }}
      >
        {givenCode !== null && (
          <p>
            For the label <strong className="code">{givenCode}</strong>.
          </p>
        )}
        <CooperageFields
          draft={draft}
          onChange={setDraft}
          errors={errors}
          kinds={facets.data?.caskKinds ?? []}
          woods={facets.data?.woodSpecies ?? []}
          previous={facets.data?.previousContents ?? []}
        />
        <details>
          <summary>Measures, if taken: better gauges come of them</summary>
          <MeasureFields draft={measures} onChange={setMeasures} worked={worked} errors={errors} />
        </details>
        <div className="grid">
          <NumberField
            label="How many like this"
            unit="casks"
            value={howMany}
            onChange={setHowMany}
            error={fits ? undefined : 'A whole number from 1 to 200 is needed'}
          />
          {count === 1 && (
            <TextField
              label="Other number on the wood"
              hint="Cooper’s or owner’s; optional"
              value={alias}
              onChange={setAlias}
              error={errors.at('/aliases')}
            />
          )}
        </div>
        {problem &&
          errors.rest([]).map((line) => (
            <Notice key={line} tone="bad" live>
              {line}
            </Notice>
          ))}
        {error !== null && <Failed error={error} />}
        <div className="form-foot">
          <Button
            type="submit"
            kind="main"
            icon="cask"
            busy={busy}
            disabled={!fits || geometry === null || draft.nominalLitres === null}
          >
            {busy ? 'Registering …' : `Register ${format.count(count, 'cask')}`}
          </Button>
        </div>
      </form>
    </Page>
  );
}

function bodyFor(
  code: string,
  draft: CooperageDraft,
  measures: Pick<BodyOf<'cask.register'>, 'geometry' | 'capacityLitres' | 'tareKg'>,
  alias: string,
  /** The cask's GS1 key, where the estate has been given a company prefix. */
  giai: string | null,
): BodyOf<'cask.register'> {
  const text = (value: string): string | null => (value.trim() === '' ? null : value.trim());
  return {
    id: newId(),
    code,
    cooperage: {
      kind: draft.kind,
      nominalLitres: draft.nominalLitres ?? 0,
      woodSpecies: draft.woodSpecies,
      forest: text(draft.forest),
      seasoningMonths: draft.seasoningMonths,
      toast: text(draft.toast),
      char: text(draft.char),
      previousContents: draft.previousContents,
      cooper: text(draft.cooper),
      cooperLot: null,
    },
    ...measures,
    giai,
    aliases: alias.trim() === '' ? [] : [alias.trim()],
    earlierFillings: draft.earlierFillings ?? 0,
    positionId: null,
  };
}
