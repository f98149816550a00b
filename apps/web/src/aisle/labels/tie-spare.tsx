import { useState } from 'react';
import { Link } from 'wouter';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { refreshAisle } from '../../data/aisle.ts';
import { resolveScan, type Match } from '../../data/resolve.ts';
import { CodeField, CodeText, Notice } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { signal } from '../reader/signal.ts';

/** A label that was printed in advance has been fixed to a cask: which one? From then on it leads there. */
export function TieSpare({ code, onTied }: { code: string; onTied: (cask: Match) => void }) {
  const act = useAct('cask.alias');
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const take = async (scanned: string): Promise<void> => {
    setProblem(null);
    try {
      const { matches, message } = await resolveScan(scanned);
      const [match] = matches;
      if (match?.kind !== 'cask') {
        signal('doubtful');
        setProblem(
          match
            ? `${match.code} is a ${match.kind}, not a cask.`
            : message || 'No cask answers to this.',
        );
        return;
      }
      const result = await act.run(
        { caskId: match.id, alias: code },
        `Spare label ${code} is on ${match.code}`,
      );
      if (result?.status !== 'applied' && result?.status !== 'waiting') return;
      signal('good');
      void refreshAisle({ evenIfFresh: true });
      onTied(match);
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error));
    }
  };
  useScans((scanned) => void take(scanned));
  return (
    <div className="stack">
      <Notice tone="plain" live title="A spare label">
        <CodeText code={code} /> was printed in advance and is on no cask yet.
      </Notice>
      <CodeField
        label="Which cask is it on?"
        hint="The cooper’s number or another label on the wood"
        action="Tie it"
        value={text}
        onChange={setText}
        busy={act.busy}
        error={problem ?? act.errors.at('/alias')}
        onEnter={(scanned) => void take(scanned)}
      />
      <ActOutcome act={act} pointers={['/alias']} />
      <p>
        If the cask is not in the books yet,{' '}
        <Link href={`/casks/new?code=${encodeURIComponent(code)}`}>
          register it with this label
        </Link>
        .
      </p>
    </div>
  );
}
