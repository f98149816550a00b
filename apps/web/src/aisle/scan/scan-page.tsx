import type { ScanAnswer } from '@rundlet/contracts';
import { useCallback, useEffect, useState } from 'react';
import { Link, useLocation, useSearch } from 'wouter';
import { pathOfMatch } from '../../data/match.ts';
import { resolveScan, type Match } from '../../data/resolve.ts';
import { CheckField } from '../../kit/choice-fields.tsx';
import { CodeText } from '../../kit/code-field.tsx';
import { Failed } from '../../kit/states.tsx';
import { Notice, Page } from '../../kit/surface.tsx';
import { VapourCaution } from '../cautions.tsx';
import { TieSpare } from '../labels/tie-spare.tsx';
import { Reader } from '../reader/reader.tsx';
import { signal } from '../reader/signal.ts';
import { StoreLine } from '../store/store-line.tsx';
import { ScannedList } from './scanned-list.tsx';

const ONE_AFTER_ANOTHER = 'rundlet-scan-on';

/** One scan, one page: whatever is read leads to what it stands for. */
export default function ScanPage() {
  const [, go] = useLocation();
  const given = new URLSearchParams(useSearch()).get('text');
  const [busy, setBusy] = useState(false);
  const [answer, setAnswer] = useState<{ text: string; found: ScanAnswer } | null>(null);
  const [error, setError] = useState<unknown>(null);
  const [on, setOn] = useState(() => localStorage.getItem(ONE_AFTER_ANOTHER) === 'yes');
  const [scanned, setScanned] = useState<readonly Match[]>([]);

  const look = useCallback(
    async (text: string) => {
      setBusy(true);
      setError(null);
      setAnswer(null);
      try {
        const found = await resolveScan(text);
        const [first] = found.matches;
        signal(first ? 'good' : 'doubtful');
        if (!first || found.matches.length > 1) setAnswer({ text, found });
        else if (on) setScanned((list) => [first, ...list.filter(({ id }) => id !== first.id)]);
        else go(pathOfMatch(first));
      } catch (cause) {
        setError(cause);
      } finally {
        setBusy(false);
      }
    },
    [go, on],
  );
  // A hand scanner on another page leads here with what it read.
  useEffect(() => {
    if (given) void look(given);
  }, [given, look]);

  return (
    <Page
      title="Scan"
      lead="Camera, hand scanner, photo or typed code: each leads to the cask’s card."
      narrow
    >
      {error !== null && <Failed error={error} />}
      {answer &&
        (answer.found.spareCode === null ? (
          <NotOne {...answer} />
        ) : (
          <TieSpare
            key={answer.found.spareCode}
            code={answer.found.spareCode}
            onTied={(cask) => {
              go(pathOfMatch(cask));
            }}
          />
        ))}
      <Reader
        label="Code"
        hint="Eight characters as printed, or any other number on the wood"
        busy={busy}
        onText={(text) => void look(text)}
      />
      <CheckField
        checked={on}
        onChange={(to) => {
          setOn(to);
          localStorage.setItem(ONE_AFTER_ANOTHER, to ? 'yes' : 'no');
        }}
      >
        One after another: stay here and list what was scanned
      </CheckField>
      {scanned.length > 0 && (
        <ScannedList
          scanned={scanned}
          onClear={() => {
            setScanned([]);
          }}
        />
      )}
      <StoreLine />
      <VapourCaution />
    </Page>
  );
}

/** None found, or several. */
function NotOne({ text, found }: { text: string; found: ScanAnswer }) {
  const several = found.matches.length > 1;
  const list = several ? found.matches : found.nearest;
  return (
    <Notice
      tone={several ? 'plain' : 'caution'}
      live
      title={several ? 'Several answer to this' : `Nothing answers to “${text}”`}
    >
      {found.message && <p>{found.message}</p>}
      {list.length > 0 && (
        <>
          {!several && <p>Perhaps one of these was meant:</p>}
          <ul>
            {list.map((match) => (
              <li key={match.id}>
                <Link href={pathOfMatch(match)}>
                  <CodeText code={match.code} />
                </Link>{' '}
                {match.line}
              </li>
            ))}
          </ul>
        </>
      )}
      {!several && (
        <p>
          If it is a new cask,{' '}
          <Link href={`/casks/new?code=${encodeURIComponent(text)}`}>register it</Link>.
        </p>
      )}
    </Notice>
  );
}
