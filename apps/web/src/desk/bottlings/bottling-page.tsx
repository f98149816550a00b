import '../../told/told.css';
import type { AnswerOf } from '@rundlet/contracts';
import {
  BOTTLING_FACTS,
  BottlingStatement,
  BottlingStory,
  unverifiedPayload,
} from '@rundlet/statements';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { useParams } from 'wouter';
import { api, client, queries, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  Card,
  CheckField,
  Facts,
  Failed,
  format,
  LinkButton,
  Loaded,
  Notice,
  Page,
} from '../../kit/kit.ts';
import { FACT_WORDS, factsIn } from '../../told/fact-words.ts';
import { Story } from '../../told/story.tsx';

/** One run: its figures, all that could be told of it, and what the public is told. */
export default function BottlingPage() {
  const { id = '' } = useParams<{ id: string }>();
  const query = useApi(api.bottlings.run, { params: { id } });
  return (
    <Loaded query={query} what="Fetching the bottling">
      {(answer) => <Run key={answer.run.lastEntryId} {...answer} />}
    </Loaded>
  );
}

function Run({ run, story, address, correctedSince }: AnswerOf<typeof api.bottlings.run>) {
  const may = useMay();
  const told = BottlingStory.partial().safeParse(story);
  return (
    <Page
      title={`${run.code} ${run.name}`}
      lead={`Bottled on ${format.date(run.at)}.`}
      actions={
        run.statement !== null && (
          <LinkButton to={`/b/${encodeURIComponent(run.code)}`} icon="scan">
            See the public page
          </LinkButton>
        )
      }
    >
      <Facts
        facts={[
          ['Drawn from the vat', format.litres(run.figures.bulkLitresAt20C)],
          ['Bottles', `${format.number(run.bottles)} of ${format.number(run.bottleMl)} mL`],
          ['Lost', format.litres(run.lossLitresAt20C)],
          ['Strength on the label', format.strength(run.labelStrengthPercentVol)],
          run.gtin === null ? null : ['GTIN', run.gtin],
        ]}
      />
      <div className="columns">
        <Card title="All that is recorded of it">
          {told.success ? <Story told={told.data} /> : <p>Nothing is recorded of it.</p>}
        </Card>
        <div className="stack">
          {may('keep') && <Publish run={run} correctedSince={correctedSince} />}
          <Card title="For the label">
            <div className="stack">
              <img
                className="bottling-code"
                src={api.bottlings.code.path.replace(':id', run.id)}
                alt="The public address as a QR code"
              />
              <p className="code">{address}</p>
              {may('warehouse') && (
                <LinkButton to={`/labels?kind=bottling-run&ids=${run.id}`} icon="label">
                  Print labels for bottles or cases
                </LinkButton>
              )}
            </div>
          </Card>
        </div>
      </div>
    </Page>
  );
}

function Publish({
  run,
  correctedSince,
}: Pick<AnswerOf<typeof api.bottlings.run>, 'run' | 'correctedSince'>) {
  const said = BottlingStatement.safeParse(unverifiedPayload(run.statement ?? ''));
  const [facts, setFacts] = useState<readonly string[]>(
    said.success ? BOTTLING_FACTS.filter((f) => !said.data.withheld.includes(f)) : BOTTLING_FACTS,
  );
  const publish = useMutation({
    mutationFn: () =>
      client.call(api.bottlings.publish, { params: { id: run.id }, body: { facts: [...facts] } }),
    onSuccess: () => void queries.invalidateQueries(),
  });
  return (
    <Card title="What the public is told">
      <div className="stack">
        {correctedSince.length > 0 && (
          <Notice tone="caution" title="Corrected since it was published">
            The records say otherwise now of: {factsIn(correctedSince)}. The public page says so
            until you sign and publish anew.
          </Notice>
        )}
        {BOTTLING_FACTS.map((fact) => (
          <CheckField
            key={fact}
            checked={facts.includes(fact)}
            onChange={(on) => {
              setFacts(on ? [...facts, fact] : facts.filter((f) => f !== fact));
            }}
          >
            {FACT_WORDS[fact]}
          </CheckField>
        ))}
        <Notice>The page says what is withheld. What is published once may have been kept.</Notice>
        {publish.isError && <Failed error={publish.error} />}
        <div>
          <Button
            kind="main"
            busy={publish.isPending}
            onClick={() => {
              publish.mutate();
            }}
          >
            {run.statement === null ? 'Sign and publish' : 'Sign and publish anew'}
          </Button>
        </div>
      </div>
    </Card>
  );
}
