import { useParams } from 'wouter';
import {
  Button,
  Card,
  CheckField,
  Failed,
  format,
  LinkButton,
  Loading,
  Notice,
  Page,
  Progress,
} from '../../kit/kit.ts';
import { VapourCaution } from '../cautions.tsx';
import { Reader } from '../reader/reader.tsx';
import { CountedList } from './counted-list.tsx';
import { useCounted, type Counted } from './counted.ts';
import { useCountScope, type CountScope } from './count-scope.ts';
import { ExpectedHere } from './expected-here.tsx';
import { useCounting } from './use-counting.ts';
import { useWakeLock } from './wake-lock.ts';

/** Counting: scan a position to say where you are, then the casks there. Works without a network. */
export default function CountPage() {
  const { id = '' } = useParams<{ id: string }>();
  const { scope, error } = useCountScope(id);
  const [counted, add] = useCounted(id);
  return (
    <Page
      title={scope?.title ?? 'Stock-take'}
      actions={
        <LinkButton to={`/counts/${id}/sheet`} icon="book">
          Sheet
        </LinkButton>
      }
    >
      {scope ? (
        scope.open ? (
          <Counting scope={scope} counted={counted} add={add} />
        ) : (
          <Notice title="This stock-take is closed">Its sheet is kept.</Notice>
        )
      ) : error ? (
        <Failed error={error} />
      ) : (
        <Loading what="Fetching the stock-take" />
      )}
      <VapourCaution />
    </Page>
  );
}

function Counting({
  scope,
  counted,
  add,
}: {
  scope: CountScope;
  counted: readonly Counted[];
  add: (counted: Counted) => void;
}) {
  useWakeLock();
  const counting = useCounting(scope, counted, add);
  const { take, place, setPlace, said, damaged, setDamaged, doubtful, settleDoubtful } = counting;
  const total = scope.expectedIds.size;
  const found = counted.filter(({ caskId }) => caskId && scope.expectedIds.has(caskId)).length;
  return (
    <div className="columns">
      <div className="stack">
        <Card>
          <div className="line-spread">
            <span>
              <span className="soft small">You are at</span>
              <br />
              <strong>{place?.words ?? 'no position chosen'}</strong>
            </span>
            {place && (
              <Button
                onClick={() => {
                  setPlace(null);
                }}
              >
                Leave it
              </Button>
            )}
          </div>
          {!place && (
            <p className="field-hint">
              Scan a rack position’s label first; without one, casks count as standing where the
              book has them.
            </p>
          )}
        </Card>
        {said && (
          <Notice tone={said.tone} live title={said.title}>
            {said.text}
          </Notice>
        )}
        {doubtful !== null && (
          <Notice
            tone="caution"
            live
            title={`Nothing answers to “${doubtful}”`}
            actions={
              <>
                <Button
                  onClick={() => {
                    settleDoubtful(true);
                  }}
                >
                  Count it as unknown
                </Button>
                <Button
                  kind="quiet"
                  onClick={() => {
                    settleDoubtful(false);
                  }}
                >
                  Leave it
                </Button>
              </>
            }
          >
            Read the label once more. If the wood bears this and nothing else, count it as unknown.
          </Notice>
        )}
        <Reader label="Cask or position" action="Count" onText={take} />
        <CheckField checked={damaged} onChange={setDamaged}>
          The next one’s label is damaged
        </CheckField>
      </div>
      <div className="stack">
        <Card title="On this device" aside={<span className="code soft small">{scope.code}</span>}>
          <div className="stack">
            {scope.blind || !scope.held ? (
              <p>{format.count(counted.length, 'count')}</p>
            ) : (
              <Progress
                label={`${format.number(found)} of ${format.number(total)} expected casks`}
                value={total === 0 ? 0 : found / total}
              />
            )}
            {!scope.held && (
              <Notice tone="caution">
                This device does not hold the store of this count, so it cannot say what is
                expected.
              </Notice>
            )}
            {!scope.blind && place && (
              <ExpectedHere casks={scope.expectedAt.get(place.id) ?? []} counted={counted} />
            )}
            <CountedList counted={counted} />
          </div>
        </Card>
      </div>
    </div>
  );
}
