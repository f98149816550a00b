import { parseScan } from '@rundlet/identifiers';
import { useState } from 'react';
import { resolveScan, type Match } from '../../data/resolve.ts';
import { Button, CodeField, CodeText, Dialog } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { TieSpare } from '../labels/tie-spare.tsx';
import { signal } from '../reader/signal.ts';
import { ReaderDialog } from './reader-dialog.tsx';

/** Another cask, by its code: scanned or typed. */
export function CaskField({
  label,
  hint,
  value,
  onChange,
  error,
  known = [],
}: {
  label: string;
  hint?: string;
  /** Casks that can be told by their codes though they are in no store on this device. */
  known?: readonly { readonly id: string; readonly code: string }[];
  value: Match | null;
  onChange: (cask: Match | null) => void;
  error?: string | undefined;
}) {
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const [reading, setReading] = useState(false);
  const [spare, setSpare] = useState<string | null>(null);

  const take = async (scanned: string): Promise<void> => {
    setProblem(null);
    setReading(false);
    setBusy(true);
    try {
      const codes = parseScan(scanned).candidates.map(({ code }) => code);
      const one = known.find(({ code }) => codes.includes(code));
      if (one) {
        signal('good');
        onChange({ kind: 'cask', ...one, line: '' });
        setText('');
        return;
      }
      const answer = await resolveScan(scanned);
      const [match] = answer.matches;
      if (match?.kind === 'cask') {
        signal('good');
        onChange(match);
        setText('');
        return;
      }
      signal('doubtful');
      setSpare(answer.spareCode);
      if (answer.spareCode !== null) {
        setText('');
        return;
      }
      setProblem(
        match
          ? `${match.code} is a ${match.kind}, not a cask.`
          : answer.message || 'No cask answers to this.',
      );
    } catch (error_) {
      setProblem(error_ instanceof Error ? error_.message : String(error_));
    } finally {
      setBusy(false);
    }
  };
  useScans((scanned) => void take(scanned), !reading && value === null && spare === null);

  if (value)
    return (
      <div className="field">
        <span className="field-label">{label}</span>
        <div className="card line-spread">
          <span>
            <strong>
              <CodeText code={value.code} />
            </strong>{' '}
            <span className="soft small">{value.line}</span>
          </span>
          <Button
            onClick={() => {
              onChange(null);
            }}
          >
            Choose another
          </Button>
        </div>
      </div>
    );
  if (spare !== null)
    return (
      <div className="stack-tight">
        <TieSpare
          code={spare}
          onTied={(cask) => {
            setSpare(null);
            onChange(cask);
          }}
        />
        <div>
          <Button
            kind="quiet"
            onClick={() => {
              setSpare(null);
            }}
          >
            Scan another instead
          </Button>
        </div>
      </div>
    );
  return (
    <div className="stack-tight">
      <CodeLookup
        {...{ label, hint: hint ?? 'Scan its label or type its code', text, setText, busy }}
        error={error ?? problem ?? undefined}
        onEnter={(scanned) => void take(scanned)}
      />
      <div>
        <Button
          icon="scan"
          onClick={() => {
            setReading(true);
          }}
        >
          Scan it
        </Button>
      </div>
      <Dialog
        title={label}
        open={reading}
        onClose={() => {
          setReading(false);
        }}
      >
        <ReaderDialog onText={(scanned) => void take(scanned)} />
      </Dialog>
    </div>
  );
}

function CodeLookup(props: {
  label: string;
  hint: string;
  error: string | undefined;
  text: string;
  setText: (text: string) => void;
  busy: boolean;
  onEnter: (text: string) => void;
}) {
  const { text, setText, ...rest } = props;
  return <CodeField {...rest} value={text} onChange={setText} />;
}
