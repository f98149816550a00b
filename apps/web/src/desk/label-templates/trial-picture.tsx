import type { TemplateTrial } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { CodeReports } from '../../aisle/labels/code-reports.tsx';
import '../../aisle/labels/label-preview.css';
import { Button, Card, Failed, format, Loading, Notice } from '../../kit/kit.ts';

/** The label as it would be printed, how its codes come out, and what is to be said about it. */
export function TrialPicture({
  trial,
  error,
  onLine,
}: {
  trial: TemplateTrial | null;
  error: unknown;
  onLine: (line: number) => void;
}) {
  const [actual, setActual] = useState(false);
  const svg = trial?.svg ?? null;
  const address = useSvgAddress(svg);
  return (
    <Card
      title="Label"
      aside={
        trial?.svg && (
          <span className="soft">
            {format.number(trial.widthMm, 1)} × {format.number(trial.heightMm, 1)} mm
          </span>
        )
      }
    >
      <div className="stack">
        {error !== null && <Failed error={error} />}
        <div className="label-frame">
          {address ? (
            <img
              src={address}
              className={actual ? 'label-actual' : ''}
              style={actual ? { width: `${String(trial?.widthMm ?? 0)}mm` } : {}}
              alt="The label as this template draws it"
            />
          ) : trial ? (
            <p>Nothing can be drawn yet: see below.</p>
          ) : (
            <Loading what="Drawing the label" />
          )}
        </div>
        {address && (
          <div>
            <Button
              aria-pressed={actual}
              onClick={() => {
                setActual(!actual);
              }}
            >
              {actual ? 'Fit to the page' : 'Actual millimetres'}
            </Button>
          </div>
        )}
        <ul className="bare-list stack-tight" aria-label="Problems" aria-live="polite">
          {trial?.problems.map(({ tone, message, path, line, column }) => (
            <li key={`${path} ${message}`}>
              <Notice
                tone={tone === 'fault' ? 'bad' : 'caution'}
                {...(line === null
                  ? {}
                  : {
                      actions: (
                        <Button
                          onClick={() => {
                            onLine(line);
                          }}
                        >
                          Line {line}
                        </Button>
                      ),
                    })}
              >
                {line !== null && (
                  <span className="soft">
                    line {line}
                    {column !== null && tone === 'fault' && `, column ${String(column)}`}
                    {path !== '' && (
                      <>
                        , <code>{path}</code>
                      </>
                    )}
                    :{' '}
                  </span>
                )}
                {message}
              </Notice>
            </li>
          ))}
        </ul>
        {trial && trial.problems.length === 0 && (
          <Notice tone="good">Nothing to warn of at this resolution.</Notice>
        )}
        <CodeReports codes={trial?.codes ?? []} />
      </div>
    </Card>
  );
}

function useSvgAddress(svg: string | null): string | null {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    if (svg === null) {
      setAddress(null);
      return;
    }
    const made = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
    setAddress(made);
    return () => {
      URL.revokeObjectURL(made);
    };
  }, [svg]);
  return address;
}
