import { api, type WalkStop } from '@rundlet/contracts';
import { liftsOf } from '@rundlet/domain';
import { useMemo, useState } from 'react';
import { Link } from 'wouter';
import { useHistoryState } from 'wouter/use-browser-location';
import { useAisle } from '../../data/aisle.ts';
import { findInAisle, positionWords, type AisleIndex } from '../../data/aisle-index.ts';
import { useApi } from '../../data/client.ts';
import { Button, Card, CodeText, Failed, format, Loading, Notice, Page } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { racksOf, wayTo, type RackRow } from '../map/racks.ts';
import { StoreLine } from '../store/store-line.tsx';
import type { Listed, WalkState } from './walk-button.tsx';

/** What one call may ask for. */
const MOST = 5000;

/** Any list of casks, handed over, pasted or scanned, in the order one walks past them. */
export default function WalkPage() {
  const given = useHistoryState<WalkState | null>()?.casks ?? NONE;
  const { index } = useAisle();
  const [text, setText] = useState(() => given.map(({ code }) => code).join('\n'));
  useScans((scanned) => {
    setText((before) => (before === '' ? scanned : `${before}\n${scanned}`));
  });
  const { ids, unknown } = useMemo(() => casksIn(text, index, given), [text, index, given]);
  const asked = useApi(
    api.places.walk,
    { body: { caskIds: ids.slice(0, MOST) } },
    { enabled: ids.length > 0 },
  );
  const { data, isError, error } = asked;
  const here = useMemo(
    () => (index && isError ? stopsHere(index, ids) : null),
    [index, isError, ids],
  );
  const stops = ids.length === 0 ? [] : (data?.stops ?? here);
  return (
    <Page
      title="Walking order"
      lead="The casks of any list in the order you walk past them, with what must be shifted to reach each. Other lists lead here; or paste or scan."
      narrow
    >
      <label className="field not-printed">
        <span className="field-label">Casks</span>
        <span className="field-hint">Codes or other numbers, one to a line or with commas</span>
        <textarea
          className="input"
          rows={4}
          value={text}
          autoCapitalize="characters"
          spellCheck={false}
          onChange={(event) => {
            setText(event.target.value);
          }}
        />
      </label>
      {unknown.length > 0 && (
        <Notice tone="caution" title="Not in the store on this device">
          {unknown.slice(0, 20).join(', ')}
          {unknown.length > 20 && ` and ${format.number(unknown.length - 20)} more`}
        </Notice>
      )}
      {ids.length > MOST && (
        <Notice tone="caution">
          The first {format.number(MOST)} are shown; the list has {format.number(ids.length)}.
        </Notice>
      )}
      {stops ? (
        stops.length > 0 && <Stops stops={stops} fromDevice={here !== null && !data} />
      ) : isError ? (
        <Failed error={error} retry={() => void asked.refetch()} />
      ) : (
        <Loading what="Putting them in order" />
      )}
      <StoreLine />
    </Page>
  );
}
const NONE: readonly Listed[] = [];

function Stops({ stops, fromDevice }: { stops: readonly WalkStop[]; fromDevice: boolean }) {
  return (
    <Card
      title={format.count(stops.length, 'cask')}
      aside={
        <Button
          onClick={() => {
            print();
          }}
        >
          Print
        </Button>
      }
    >
      {fromDevice && <p className="field-hint">By what this device knows</p>}
      <ol className="stack-tight">
        {stops.map(({ caskId, caskCode, place, lifts }) => (
          <li key={caskId}>
            <span className="line-spread">
              <Link href={`/casks/${caskId}`}>
                <CodeText code={caskCode} />
              </Link>
              {place ? (
                <Link href={`/map?cask=${caskId}`}>
                  {place.store}, {place.zone}, {positionWords(place.position)}
                </Link>
              ) : (
                <span className="soft">no place by the book</span>
              )}
              {lifts !== null && lifts > 0 && (
                <span className="small">{format.count(lifts, 'lift')} to reach it</span>
              )}
            </span>
          </li>
        ))}
      </ol>
    </Card>
  );
}

/** The casks that a text names, each once. */
function casksIn(
  text: string,
  index: AisleIndex | null,
  given: readonly Listed[],
): { ids: string[]; unknown: string[] } {
  const known = new Map(given.map(({ code, id }) => [code, id]));
  const ids = new Set<string>();
  const unknown: string[] = [];
  for (const piece of text.split(/[\n,;\t]+/).map((one) => one.trim())) {
    if (piece === '') continue;
    const found = index && findInAisle(index, piece);
    const id = known.get(piece) ?? (found?.kind === 'cask' ? found.cask.id : undefined);
    if (id === undefined) unknown.push(piece);
    else ids.add(id);
  }
  return { ids: [...ids], unknown };
}

/** The same from what this device holds; casks of other stores are left out. */
function stopsHere(index: AisleIndex, ids: readonly string[]): WalkStop[] {
  const rows = new Map<string, readonly RackRow[]>();
  const rowsOf = (zoneId: string): readonly RackRow[] => {
    const known = rows.get(zoneId) ?? racksOf(index, zoneId);
    rows.set(zoneId, known);
    return known;
  };
  return ids
    .flatMap((id): WalkStop[] => {
      const cask = index.caskById.get(id);
      if (!cask) return [];
      const position = index.positionById.get(cask.positionId ?? '');
      const row = position && rowsOf(position.zoneId).find(({ name }) => name === position.row);
      const way = position && row && wayTo(index, row, position, id);
      return [
        {
          caskId: id,
          caskCode: cask.code,
          place: position
            ? {
                store: index.snapshot.store.name,
                zone: index.zoneName.get(position.zoneId) ?? '',
                position,
              }
            : null,
          lifts: way?.stow ? liftsOf(way.stow, way.lifts) : null,
        },
      ];
    })
    .sort((a, b) => orderOf(a) - orderOf(b));
}
const orderOf = ({ place }: WalkStop): number =>
  place?.position.walkOrder ?? Number.MAX_SAFE_INTEGER;
