import { useMemo } from 'react';
import { useParams } from 'wouter';
import { useAisle } from '../../data/aisle.ts';
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
import { WalkList } from './walk-list.tsx';
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
  const { take, bookHere, place, setPlace, said, damaged, setDamaged, doubtful, settleDoubtful } =
    counting;
  const places = useMemo(
    () =>
      new Map(
        [...scope.expectedAt].flatMap(([positionId, casks]) =>
          casks.map(({ id }) => [id, positionId] as const),
        ),
      ),
    [scope.expectedAt],
  );
  const total = scope.expectedIds.size;
  const countedKeys = new Set(counted.map(({ key }) => key));
  const found = [...countedKeys].filter((key) => scope.expectedIds.has(key)).length;
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
          <Notice
            tone={said.tone}
            live
            title={said.title}
            actions={
              said.misplaced && (
                <Button
                  icon="move"
                  onClick={() => {
                    if (said.misplaced) bookHere(said.misplaced);
                  }}
                >
                  Book it here
                </Button>
              )
            }
          >
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
        <Recount scope={scope} counted={counted} />
        {scope.isPart && (
          <WalkList
            title="Casks of this count, in walking order"
            stops={[...scope.expectedIds]
              .filter((key) => !countedKeys.has(key))
              .map((key) => ({ key, positionId: places.get(key) ?? null }))}
            blind={scope.blind}
            done="All of them are counted on this device"
          />
        )}
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

/** What a keeper asked to be counted again and this device has not counted since. */
function Recount({ scope, counted }: { scope: CountScope; counted: readonly Counted[] }) {
  const { index } = useAisle();
  const askedBefore = index?.snapshot.madeAt ?? '';
  const left = scope.recount.filter(
    ({ key }) => !counted.some((one) => one.key === key && one.at > askedBefore),
  );
  if (scope.recount.length === 0) return null;
  return (
    <WalkList
      title="To count again"
      stops={left}
      blind={scope.blind}
      done="All of them are counted again"
    />
  );
}
