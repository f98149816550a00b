import { useMemo, useState } from 'react';
import { Link, useSearch } from 'wouter';
import {
  findInAisle,
  positionWords,
  type AisleCask,
  type AisleIndex,
} from '../../data/aisle-index.ts';
import { Button, Card, CodeText, format, Notice, Page } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { StoreOnDevice } from '../store/store-on-device.tsx';

/** Any list of casks, pasted or scanned, in the order one walks past them. */
export default function WalkPage() {
  return (
    <Page
      title="Walking order"
      lead="Paste or scan the casks of any list; they come back in the order you walk past them."
      narrow
    >
      <StoreOnDevice>{(index) => <Walk index={index} />}</StoreOnDevice>
    </Page>
  );
}

function Walk({ index }: { index: AisleIndex }) {
  const search = new URLSearchParams(useSearch());
  const [text, setText] = useState(() =>
    (search.get('casks') ?? '')
      .split(',')
      .map((id) => index.caskById.get(id)?.code ?? id)
      .join('\n'),
  );
  useScans((scanned) => {
    setText((before) => (before === '' ? scanned : `${before}\n${scanned}`));
  });
  const { stops, unknown } = useMemo(() => inWalkingOrder(index, text), [index, text]);
  return (
    <div className="stack">
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
      {stops.length > 0 && (
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
          <ol className="stack-tight">
            {stops.map(({ cask, words, positionId }) => (
              <li key={cask.id}>
                <span className="line-spread">
                  <Link href={`/casks/${cask.id}`}>
                    <CodeText code={cask.code} />
                  </Link>
                  {positionId ? (
                    <Link href={`/map?cask=${cask.id}`}>{words}</Link>
                  ) : (
                    <span className="soft">{words}</span>
                  )}
                </span>
              </li>
            ))}
          </ol>
        </Card>
      )}
    </div>
  );
}

interface Stop {
  readonly cask: AisleCask;
  readonly positionId: string | null;
  readonly words: string;
  readonly walkOrder: number;
}

function inWalkingOrder(index: AisleIndex, text: string): { stops: Stop[]; unknown: string[] } {
  const stops = new Map<string, Stop>();
  const unknown: string[] = [];
  for (const piece of text.split(/[\n,;\t]+/).map((one) => one.trim())) {
    if (piece === '') continue;
    const found = findInAisle(index, piece);
    if (found?.kind === 'cask') stops.set(found.cask.id, stopOf(index, found.cask));
    else unknown.push(piece);
  }
  return {
    stops: [...stops.values()].sort((a, b) => a.walkOrder - b.walkOrder),
    unknown,
  };
}

function stopOf(index: AisleIndex, cask: AisleCask): Stop {
  const position = index.positionById.get(cask.positionId ?? '');
  return {
    cask,
    positionId: position?.id ?? null,
    words: position
      ? `${index.zoneName.get(position.zoneId) ?? ''}, ${positionWords(position)}`
      : 'no place by the book',
    walkOrder: position?.walkOrder ?? Number.MAX_SAFE_INTEGER,
  };
}
