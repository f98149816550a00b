import { Link } from 'wouter';
import { pathOfMatch } from '../../data/match.ts';
import type { Match } from '../../data/resolve.ts';
import { Button, LinkButton } from '../../kit/button.tsx';
import { CodeText } from '../../kit/code-field.tsx';
import { count } from '../../kit/format.ts';
import { Card } from '../../kit/surface.tsx';

/** What was scanned one after another, newest first. */
export function ScannedList({
  scanned,
  onClear,
}: {
  scanned: readonly Match[];
  onClear: () => void;
}) {
  const casks = scanned.filter(({ kind }) => kind === 'cask');
  return (
    <Card title={`${count(scanned.length, 'thing')} scanned`}>
      <div className="stack">
        <ol className="bare-list stack-tight" aria-live="polite">
          {scanned.map((match) => (
            <li key={match.id}>
              <Link href={pathOfMatch(match)}>
                <CodeText code={match.code} />
              </Link>{' '}
              <span className="soft">{match.line}</span>
            </li>
          ))}
        </ol>
        <div className="line">
          {casks.length > 0 && (
            <LinkButton
              icon="label"
              to={`/labels?kind=cask&ids=${casks.map(({ id }) => id).join(',')}`}
            >
              Print their labels
            </LinkButton>
          )}
          <Button kind="quiet" onClick={onClear}>
            Clear the list
          </Button>
        </div>
      </div>
    </Card>
  );
}
