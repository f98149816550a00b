import './told.css';
import {
  BottlingStatement,
  checkCheckpoint,
  checkStatement,
  unverifiedPayload,
  type PublicKey,
} from '@rundlet/statements';
import { useState } from 'react';
import { useParams } from 'wouter';
import { api, useApi } from '../data/client.ts';
import { download } from '../data/download.ts';
import { Button, Card, Empty, Facts, format, Loaded, Notice } from '../kit/kit.ts';
import { Brand } from '../shell/brand.tsx';
import { factsIn } from './fact-words.ts';
import { Story } from './story.tsx';

/** What the estate tells of one bottling, readable by anybody, and a check that it is what was signed. */
export default function ToldBottlingPage() {
  const { code = '' } = useParams<{ code: string }>();
  const query = useApi(api.bottlings.told, { params: { code } });
  return (
    <main className="told stack" data-place="desk">
      <Brand />
      <Loaded query={query} what="Fetching the story of this bottle">
        {({ statement, keys, correctedSince }) => {
          const said = BottlingStatement.safeParse(unverifiedPayload(statement));
          if (!said.success)
            return <Empty title="This page cannot be read">The statement has another form.</Empty>;
          const {
            estate,
            name,
            run,
            bottledOn,
            bottles,
            bottleMl,
            strengthPercentVol,
            told,
            withheld,
          } = said.data;
          return (
            <>
              <div>
                <p>{estate}</p>
                <h1>{name}</h1>
              </div>
              <Facts
                facts={[
                  ['Bottling', run],
                  ['Bottled on', format.date(`${bottledOn}T12:00:00.000Z`)],
                  ['Bottles', `${format.number(bottles)} of ${format.number(bottleMl)} mL`],
                  ['Strength', format.strength(strengthPercentVol)],
                ]}
              />
              {correctedSince.length > 0 && (
                <Notice tone="caution" title="Records corrected since">
                  After this was signed the estate corrected what it records of:{' '}
                  {factsIn(correctedSince)}. What stands below is what was signed.
                </Notice>
              )}
              <Story told={told} withheld={withheld} />
              <p>
                {withheld.length === 0
                  ? 'Nothing that is recorded of it is withheld.'
                  : `The estate withholds: ${factsIn(withheld)}.`}{' '}
                Shares are of the alcohol in the bottle.
              </p>
              <Check
                statement={statement}
                keys={keys.map(({ x }) => ({ kty: 'OKP', crv: 'Ed25519', x }))}
              />
            </>
          );
        }}
      </Loaded>
    </main>
  );
}

type Outcome = { readonly good: boolean; readonly words: string; readonly keyId: string | null };

function Check({ statement, keys }: { statement: string; keys: readonly PublicKey[] }) {
  const [outcome, setOutcome] = useState<Outcome | null>(null);
  return (
    <Card title="Is it true?">
      <div className="stack">
        <p>
          This page was signed by the estate, together with the state of its cask journal at that
          moment. Your own device can check the signature.
        </p>
        <div className="line">
          <Button
            kind="main"
            onClick={() => {
              setOutcome(check(statement, keys));
            }}
          >
            Check this
          </Button>
          <Button
            icon="download"
            onClick={() => {
              download(statement, 'statement.txt', 'text/plain');
            }}
          >
            Save the signed text
          </Button>
        </div>
        {outcome && (
          <Notice
            live
            tone={outcome.good ? 'good' : 'bad'}
            title={outcome.good ? 'The signature holds' : 'The signature does not hold'}
          >
            <p>{outcome.words}</p>
            {outcome.keyId && (
              <p>
                Key: <span className="code">{outcome.keyId}</span>
              </p>
            )}
          </Notice>
        )}
      </div>
    </Card>
  );
}

function check(statement: string, keys: readonly PublicKey[]): Outcome {
  const checked = checkStatement(statement, keys);
  if (checked.status !== 'good') return { good: false, words: checked.reason, keyId: null };
  const said = BottlingStatement.safeParse(checked.payload);
  const resting = checkCheckpoint(said.success ? said.data.checkpoint : '', keys);
  if (resting.status !== 'good')
    return {
      good: false,
      words: `The page is signed, but the journal it rests on is not: ${resting.reason}`,
      keyId: checked.kid,
    };
  return {
    good: true,
    words: `What you read is what was signed, and it rests on the first ${format.number(resting.checkpoint.seq)} entries of the journal, signed on ${format.date(resting.checkpoint.at)}. To be sure of the key, ask the estate for it by another way than this page.`,
    keyId: checked.kid,
  };
}
